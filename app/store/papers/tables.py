"""The papers that the desk has seen."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from app.rules.papers.values import PaperKind
from app.store.columns import Base, words


class PaperRow(Base):
    """One paper of one student, as it was checked at the desk."""

    __tablename__ = "papers"
    __table_args__ = (
        CheckConstraint("expires_on IS NULL OR expires_on > issued_on", name="ends_after_it_began"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    student_id: Mapped[int] = mapped_column(ForeignKey("students.id"), index=True)
    kind: Mapped[PaperKind] = mapped_column(words(PaperKind))
    issued_on: Mapped[date]
    expires_on: Mapped[date | None]
    checked_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    checked_at: Mapped[datetime]
