"""Students with an email, sessions they are booked in, and what is owed to them."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from sqlalchemy import select

from app.rules.diary.values import BookingState, GivenUpFor, SessionKind
from app.store.database import Database, Lock
from app.store.diary import letters, session_writes
from app.store.diary.letter_truth import no_longer_so
from app.store.diary.tables import BookingRow, SessionRow
from app.store.outbox import MessageRow
from app.store.people.tables import StudentRow
from app.store.post_office import Office, Round, send_owed
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, add_session, book, booking, wish
from tests.support.mail_server import mail_server

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


def kinds(school: Database) -> list[str]:
    """What waits to be sent, oldest first."""
    return [row.kind for row in owed(school)]


def deliver(school: Database, now: datetime = START) -> Round:
    """Send all that waits, to a server of its own."""
    with mail_server() as (_, smtp):
        return send_owed(school, Office(smtp, "school@example.org"), now, no_longer_so)


def booked(school: Database, people: Cast) -> int:
    """Lena on Bike 1 tomorrow from 09:00; the booking's id."""
    return book(school, add_session(school, people), people.learner, people.bike)


def move(school: Database, people: Cast, booking_id: int, hour: int) -> None:
    """Put the session of a booking at another hour."""
    training = booking(school, booking_id).session_id
    with school.reading() as session:
        version = session.get_one(SessionRow, training).version
    to = wish(people, starts=time(hour), ends=time(hour + 2))
    session_writes.edit_session(school, DESK, training, version, to, START)


def give_up(school: Database, booking_id: int, why: GivenUpFor | None) -> None:
    """Cancel a booking for a reason, as a write does."""
    with school.writing(Lock.DIARY) as session:
        row = session.get_one(BookingRow, booking_id)
        row.state, row.cancelled_at, row.given_up_for = BookingState.CANCELLED, START, why
        row.held_until = None
        letters.cancelled(session, booking_id, START)


def hold(school: Database, people: Cast, until: datetime) -> int:
    """A place held for Lena and offered to her; the booking's id."""
    made = coming(school, people, START + timedelta(days=3), BookingState.HELD)
    with school.writing(Lock.DIARY) as session:
        session.get_one(BookingRow, made).held_until = until
        session.flush()
        letters.offered(session, made, START)
    return made
