"""The papers of a student."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.papers.lives import NAMES
from app.rules.papers.seen import SeenPaper
from app.rules.papers.values import PaperKind
from app.store.accounts.tables import AccountRow
from app.store.papers.tables import PaperRow


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper that the desk has seen: by whom (None for a command) and when."""

    id: int
    kind: PaperKind
    issued_on: date
    lapses_on: date | None
    seen_by: str | None
    seen_at: datetime

    @property
    def name(self) -> str:
        """What it is called."""
        return NAMES[self.kind]

    @property
    def seen(self) -> SeenPaper:
        """What the rules need of it."""
        return SeenPaper(self.kind, self.issued_on, self.lapses_on)


def papers_of(session: Session, student_id: int) -> tuple[Paper, ...]:
    """All papers of one student, the newest first, in one query."""
    rows = session.execute(
        select(PaperRow, AccountRow.name)
        .outerjoin(AccountRow, PaperRow.checked_by == AccountRow.id)
        .where(PaperRow.student_id == student_id)
        .order_by(PaperRow.issued_on.desc(), PaperRow.id.desc())
    )
    return tuple(
        Paper(row.id, row.kind, row.issued_on, row.expires_on, name, row.checked_at)
        for row, name in rows
    )
