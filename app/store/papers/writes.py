"""Writing down a paper that was seen at the desk."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.papers.seen import SeenPaper, why_not_seen
from app.rules.refusal import Refused
from app.store import audit
from app.store.database import Database, Lock
from app.store.once import once
from app.store.papers.tables import PaperRow
from app.store.people.reads import student_row


def record_paper(
    db: Database,
    by: Actor,
    student_id: int,
    paper: SeenPaper,
    key: UUID,
    today: date,
    now: datetime,
) -> int:
    """Keep a paper that was seen today, once for one form; its id.

    Raises Missing for an unknown student and Refused with every reason against it.
    """

    with db.writing(Lock.DIARY) as session:
        student = student_row(session, student_id)
        if reasons := why_not_seen(paper, student.date_of_birth, today):
            raise Refused(*reasons)
        return once(session, key, now, lambda: _keep(session, by, student_id, paper, now))


def _keep(session: Session, by: Actor, student_id: int, paper: SeenPaper, now: datetime) -> int:
    row = PaperRow(
        student_id=student_id,
        kind=paper.kind,
        issued_on=paper.issued_on,
        expires_on=paper.lapses_on,
        checked_by=by.account_id,
        checked_at=now,
    )
    session.add(row)
    session.flush()
    audit.record(session, by, now, "saw", "papers", row.id, kind=paper.kind)
    return row.id
