"""A form that is sent twice is saved once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from uuid import UUID

from sqlalchemy import Uuid
from sqlalchemy.orm import Mapped, Session, mapped_column

from app.store.columns import Base


class SubmissionRow(Base):
    """A form's own key, and the record that its first sending made."""

    __tablename__ = "submissions"

    key: Mapped[UUID] = mapped_column(Uuid, primary_key=True)
    made_at: Mapped[datetime]
    record_id: Mapped[int]


def once(session: Session, key: UUID, now: datetime, make: Callable[[], int]) -> int:
    """Run ``make`` unless this key was used before; either way, the id of the record made.

    The caller's transaction must hold a lock that keeps two senders of the same
    form apart (on SQLite every write does).
    """
    earlier = session.get(SubmissionRow, key)
    if earlier is not None:
        return earlier.record_id
    record_id = make()
    session.add(SubmissionRow(key=key, made_at=now, record_id=record_id))
    return record_id
