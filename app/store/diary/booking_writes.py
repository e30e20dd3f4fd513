"""Booking, cancelling and marking. Every write has the diary to itself, so no place goes twice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.bookings import (
    is_late,
    why_not_book,
    why_not_cancel,
    why_not_change_bike,
    why_not_hold,
    why_not_mark,
)
from app.rules.diary.facts import Held
from app.rules.diary.values import HELD_STATES, BookingState
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit, settings
from app.store.database import Database, Lock
from app.store.diary import letters
from app.store.diary.loading import (
    bike_state,
    held_around,
    rider,
    session_row,
    session_state,
    span,
    zone_of,
)
from app.store.diary.tables import BookingRow, SessionRow
from app.store.once import once
from app.store.stale import check_version


@dataclass(frozen=True, slots=True)
class WantedPlace:
    """A place that a student wants in a session. Without ``bike_id`` they ride their own bike."""

    session_id: int
    student_id: int
    bike_id: int | None


@dataclass(frozen=True, slots=True)
class GivenUp:
    """A booking that was cancelled; ``late`` by the owner's notice rule."""

    session_id: int
    student_id: int
    late: bool


def book(db: Database, by: Actor, wanted: WantedPlace, key: UUID, now: datetime) -> int:
    """Book a place, once for one form; the booking's id.

    Raises Missing for an unknown session or student, Refused with every reason against it.
    """

    with db.writing(Lock.DIARY) as session:
        return once(session, key, now, lambda: place(session, by, wanted, now))


def place(session: Session, by: Actor, wanted: WantedPlace, now: datetime) -> int:
    """The same inside a transaction of the caller's, who holds the diary; the booking's id."""
    row = session_row(session, wanted.session_id)
    _refuse(
        why_not_book(
            session_state(session, row),
            rider(session, wanted.student_id),
            bike_state(session, wanted.bike_id),
            _held(session, row, wanted.student_id, wanted.bike_id),
            now,
            zone_of(settings.load(session)),
        )
    )
    return _new(session, by, wanted, now)


def _new(session: Session, by: Actor, wanted: WantedPlace, now: datetime) -> int:
    row = BookingRow(
        session_id=wanted.session_id,
        student_id=wanted.student_id,
        bike_id=wanted.bike_id,
        state=BookingState.BOOKED,
        booked_at=now,
        booked_by=by.account_id,
    )
    session.add(row)
    session.flush()
    audit.record(
        session,
        by,
        now,
        "booked",
        "bookings",
        row.id,
        in_session=wanted.session_id,
        student=wanted.student_id,
        bike=wanted.bike_id,
    )
    letters.booked(session, row.id, now)
    return row.id


def change_bike(
    db: Database, by: Actor, booking_id: int, version: int, bike_id: int | None, now: datetime
) -> int:
    """Give a student who is booked another bike, None for their own; the id of the session.

    Raises Missing for an unknown booking, and Refused with every reason against it.
    """
    with db.writing(Lock.DIARY) as session:
        booking = _booking_row(session, booking_id, version)
        row = session_row(session, booking.session_id)
        _refuse(
            why_not_change_bike(
                booking.state,
                session_state(session, row),
                rider(session, booking.student_id),
                bike_state(session, bike_id),
                _held(session, row, booking.student_id, bike_id),
                now,
                zone_of(settings.load(session)),
            )
        )
        told = letters.appointment_of(session, booking_id)
        before, booking.bike_id = booking.bike_id, bike_id
        booking.version += 1
        audit.record(session, by, now, "changed", "bookings", booking.id, bike=[before, bike_id])
        letters.changed(session, booking_id, told, now)
        return row.id


def cancel_booking(
    db: Database, by: Actor, booking_id: int, version: int, now: datetime
) -> GivenUp:
    """Cancel a booking and say whether that was late.

    Raises Missing for an unknown booking, and Refused for one that cannot be cancelled any more.
    """
    with db.writing(Lock.DIARY) as session:
        booking = _booking_row(session, booking_id, version)
        row = session_row(session, booking.session_id)
        _refuse(why_not_cancel(booking.state, session_state(session, row), now))
        late = is_late(row.starts_at, now, settings.load(session).notice_hours)
        booking.state, booking.late = BookingState.CANCELLED, late
        booking.cancelled_at, booking.cancelled_by = now, by.account_id
        booking.version += 1
        audit.record(session, by, now, "cancelled", "bookings", booking.id, late=late)
        letters.cancelled(session, booking_id, now)
        return GivenUp(booking.session_id, booking.student_id, late)


def mark(
    db: Database, by: Actor, booking_id: int, version: int, wanted: BookingState, now: datetime
) -> int:
    """Mark a student as here (attended) or not here (no-show); the id of the session.

    Raises Missing for an unknown booking, and Refused when it cannot be so.
    """
    with db.writing(Lock.DIARY) as session:
        booking = _booking_row(session, booking_id, version)
        row = session_row(session, booking.session_id)
        zone = zone_of(settings.load(session))
        state = session_state(session, row)
        _refuse(why_not_mark(booking.state, wanted, state, now, zone))
        if booking.state not in HELD_STATES and wanted in HELD_STATES:
            _take_back(session, booking, row)
        booking.state = wanted
        booking.version += 1
        audit.record(session, by, now, f"marked {wanted}", "bookings", booking.id)
        return row.id


def _take_back(session: Session, booking: BookingRow, row: SessionRow) -> None:
    """Refuse when the place, the bike or the time of a no-show has gone to something else."""
    _refuse(
        why_not_hold(
            session_state(session, row),
            rider(session, booking.student_id),
            bike_state(session, booking.bike_id),
            _held(session, row, booking.student_id, booking.bike_id),
            zone_of(settings.load(session)),
        )
    )


def _held(
    session: Session, row: SessionRow, student_id: int, bike_id: int | None
) -> tuple[Held, ...]:
    bikes = () if bike_id is None else (bike_id,)
    return held_around(session, span(row), row.id, (student_id,), bikes)


def _booking_row(session: Session, booking_id: int, version: int) -> BookingRow:
    row = session.get(BookingRow, booking_id)
    if row is None:
        raise Missing
    check_version(row.version, version)
    return row


def _refuse(reasons: tuple[Reason, ...]) -> None:
    if reasons:
        raise Refused(*reasons)
