"""Who did what in the demo's own history, so that it reads as if people had done it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.values import BookingState
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow
from app.store.school.demo.rows import Row

_ORIGIN = "demo"
_PLANNED = timedelta(days=21)
"""So long before a session it was put into the diary."""

_BEFORE_BOOKED = timedelta(hours=2)
"""The last booking was made an hour before the demo was."""

_MARKS = {BookingState.ATTENDED: "attended", BookingState.NO_SHOW: "marked no_show"}


def entries(session: Session, desk: int, now: datetime) -> list[Row]:
    """The audit of all sessions and bookings that are kept, in order of time."""
    teachers = dict(session.execute(select(InstructorRow.id, InstructorRow.account_id)).all())
    sessions = {row.id: row for row in session.scalars(select(SessionRow))}
    made = [_made(row, desk, now) for row in sessions.values()]
    for booking in session.scalars(select(BookingRow)):
        teacher = teachers[sessions[booking.session_id].instructor_id]
        made += _life(booking, desk, teacher)
    for each in made:
        each["at"] = min(each["at"], now)
    return sorted(made, key=lambda each: each["at"])


def _made(row: SessionRow, desk: int, now: datetime) -> Row:
    at = min(row.starts_at - _PLANNED, now - _BEFORE_BOOKED)
    return _entry(at, desk, "made", "training_sessions", row.id)


def _life(row: BookingRow, desk: int, teacher: int | None) -> Iterator[Row]:
    told = {"in_session": row.session_id, "student": row.student_id, "bike": row.bike_id}
    yield _entry(row.booked_at, desk, "booked", "bookings", row.id, **told)
    if row.cancelled_at is not None:
        yield _entry(row.cancelled_at, desk, "cancelled", "bookings", row.id, late=row.late)
    if row.state in _MARKS:
        yield _entry(row.starts_at, teacher, _MARKS[row.state], "bookings", row.id)


def _entry(
    at: datetime, account: int | None, action: str, subject: str, number: int, **details: object
) -> Row:
    return {
        "at": at,
        "account_id": account,
        "origin": _ORIGIN,
        "action": action,
        "subject": subject,
        "subject_id": str(number),
        "details": details,
    }
