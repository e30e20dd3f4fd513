"""Students with an email, sessions they are booked in, and what is owed to them."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import select

from app.rules.diary.values import BookingState, SessionKind
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.outbox import MessageRow
from app.store.people.tables import StudentRow
from tests.support.cast import Cast
from tests.support.clock import START

LENA = "lena.wren@example.org"


def write_to(database: Database, student_id: int, email: str | None = LENA) -> None:
    """Put an email on a student's file, or take it off."""
    with database.writing() as session:
        session.get_one(StudentRow, student_id).email = email


def coming(
    database: Database,
    people: Cast,
    starts_at: datetime,
    state: BookingState = BookingState.BOOKED,
    booked_at: datetime = START,
    student_id: int | None = None,
) -> int:
    """Lena, or another, in a session of two hours, put there without a word; the booking's id."""
    ends_at = starts_at + timedelta(hours=2)
    with database.writing() as session:
        training = SessionRow(
            yard_id=people.yard,
            instructor_id=people.instructor,
            kind=SessionKind.MODULE_1,
            starts_at=starts_at,
            ends_at=ends_at,
            places=4,
        )
        session.add(training)
        session.flush()
        booking = BookingRow(
            session_id=training.id,
            starts_at=starts_at,
            ends_at=ends_at,
            student_id=student_id or people.learner,
            bike_id=None,
            state=state,
            held_until=starts_at if state is BookingState.HELD else None,
            booked_at=booked_at,
        )
        session.add(booking)
        session.flush()
        return booking.id


def outbox(database: Database) -> list[MessageRow]:
    """All messages, oldest first."""
    with database.reading() as session:
        return list(session.scalars(select(MessageRow).order_by(MessageRow.id)))


def owed(database: Database) -> list[MessageRow]:
    """Those that wait to be sent."""
    return [
        row
        for row in outbox(database)
        if not (row.sent_at or row.dropped_at or row.refused_at or row.claimed_at)
    ]
