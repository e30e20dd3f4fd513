"""Moving a booking into another session. It stays the same booking, with its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.bookings import is_late, why_not_leave
from app.rules.diary.values import BookingState
from app.rules.refusal import Reason
from app.store import audit, settings
from app.store.database import Database
from app.store.diary import letters
from app.store.diary.life import diary
from app.store.diary.loading import session_row, session_state
from app.store.diary.offers import came_by_moving
from app.store.diary.places import WantedPlace, against, booking_row, refuse
from app.store.diary.tables import BookingRow


@dataclass(frozen=True, slots=True)
class Target:
    """Where a booking goes: a session, and a bike there; None for the student's own."""

    session_id: int
    bike_id: int | None


@dataclass(frozen=True, slots=True)
class Moved:
    """A booking that is in another session now; ``late`` when that left little notice."""

    session_id: int
    late: bool


def move(
    db: Database, by: Actor, booking_id: int, version: int, target: Target, now: datetime
) -> Moved:
    """Move a booking into another session.

    Raises Missing for an unknown booking or session, and Refused with every reason
    against leaving the one or entering the other.
    """
    with diary(db, now) as session:
        booking = booking_row(session, booking_id, version)
        notice = settings.load(session).notice_hours
        late = booking.state is BookingState.BOOKED and is_late(booking.starts_at, now, notice)
        move_in(session, by, booking, target, now, late=late)
        return Moved(target.session_id, late)


def move_in(
    session: Session,
    by: Actor,
    booking: BookingRow,
    target: Target,
    now: datetime,
    *,
    late: bool = False,
) -> None:
    """Move a booking in the caller's transaction; raises as :func:`move` does."""
    left = session_row(session, booking.session_id)
    refuse(why_not_leave(booking.state, session_state(session, left), now))
    if target.session_id == left.id:
        refuse((Reason("That is the session the student is in already."),))
    wanted = WantedPlace(target.session_id, booking.student_id, target.bike_id)
    refuse(against(session, wanted, now, but=booking.id))
    told = letters.appointment_of(session, booking.id)
    _put(session, booking, target)
    about = {"in_session": [left.id, target.session_id], "late": late}
    audit.record(session, by, now, "moved", "bookings", booking.id, **about)
    if booking.state is BookingState.BOOKED:
        came_by_moving(session, by, target.session_id, booking.student_id, now)
    letters.changed(session, booking.id, told, now)


def _put(session: Session, booking: BookingRow, target: Target) -> None:
    row = session_row(session, target.session_id)
    booking.session_id, booking.bike_id = row.id, target.bike_id
    booking.starts_at, booking.ends_at = row.starts_at, row.ends_at
    if booking.held_until is not None:
        booking.held_until = min(booking.held_until, row.starts_at)
    booking.version += 1
    session.flush()
