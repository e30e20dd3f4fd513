"""Booking, holding, cancelling and marking. Every write has the diary to itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.bookings import (
    is_late,
    why_not_cancel,
    why_not_change_bike,
    why_not_confirm,
    why_not_hold,
    why_not_mark,
)
from app.rules.diary.holding import desk_hold_end, why_not_hold_longer
from app.rules.diary.values import (
    HELD_STATES,
    TAKING_STATES,
    BookingState,
    GivenUpFor,
    OfferState,
)
from app.store import audit, settings
from app.store.database import Database
from app.store.diary import letters
from app.store.diary.life import diary
from app.store.diary.loading import bike_state, rider, school_zone, session_row, session_state
from app.store.diary.offers import close_offer, place_waiting
from app.store.diary.places import WantedPlace as WantedPlace
from app.store.diary.places import against, booking_row, give_up, held, refuse, shut, take
from app.store.diary.tables import BookingRow, SessionRow
from app.store.once import once


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

    with diary(db, now) as session:
        return once(session, key, now, lambda: book_in(session, by, wanted, now))


def book_in(session: Session, by: Actor, wanted: WantedPlace, now: datetime) -> int:
    """Book a place in the caller's transaction; raises as :func:`book` does."""
    refuse(against(session, wanted, now))
    booking_id = take(session, by, wanted, now)
    _is_booked(session, by, booking_row(session, booking_id), now)
    return booking_id


def _is_booked(session: Session, by: Actor, booking: BookingRow, now: datetime) -> None:
    """What follows from a place that is booked: nobody waits for it, and the student is told."""
    place_waiting(session, by, booking.session_id, booking.student_id, now)
    letters.booked(session, booking.id, now)


def hold(db: Database, by: Actor, wanted: WantedPlace, key: UUID, now: datetime) -> int:
    """Hold a place for as long as the owner lets it be held, and not past its start; the id.

    Raises as :func:`book` does.
    """

    def make() -> int:
        refuse(against(session, wanted, now))
        starts = session_row(session, wanted.session_id).starts_at
        refuse(why_not_hold_longer(starts, now))
        until = desk_hold_end(now, timedelta(minutes=settings.load(session).hold_minutes), starts)
        return take(session, by, wanted, now, held_until=until)

    with diary(db, now) as session:
        return once(session, key, now, make)


def confirm(db: Database, by: Actor, booking_id: int, version: int, now: datetime) -> int:
    """Book a place that is held; the id of its session. Refused when the hold is over."""
    with diary(db, now) as session:
        booking = booking_row(session, booking_id)
        row = session_row(session, booking.session_id)
        refuse(why_not_confirm(booking.state, session_state(session, row), now))
        refuse(shut(session, row))
        booking = booking_row(session, booking_id, version)
        booking.state, booking.held_until = BookingState.BOOKED, None
        booking.version += 1
        audit.record(session, by, now, "confirmed", "bookings", booking.id)
        close_offer(session, by, booking.id, OfferState.TAKEN, now)
        _is_booked(session, by, booking, now)
        return row.id


def change_bike(
    db: Database, by: Actor, booking_id: int, version: int, bike_id: int | None, now: datetime
) -> int:
    """Give a student who is booked another bike, None for their own; the id of the session.

    Raises Missing for an unknown booking, and Refused with every reason against it.
    """
    with diary(db, now) as session:
        booking = booking_row(session, booking_id, version)
        set_bike(session, by, booking, bike_id, now)
        return booking.session_id


def set_bike(
    session: Session, by: Actor, booking: BookingRow, bike_id: int | None, now: datetime
) -> None:
    """Change the bike of a booking in the caller's transaction; Refused as :func:`change_bike`."""
    row = session_row(session, booking.session_id)
    refuse(
        why_not_change_bike(
            booking.state,
            session_state(session, row),
            rider(session, booking.student_id),
            bike_state(session, bike_id),
            held(session, row, booking.student_id, bike_id),
            now,
            school_zone(session),
        )
    )
    told = letters.appointment_of(session, booking.id)
    before, booking.bike_id = booking.bike_id, bike_id
    booking.version += 1
    session.flush()
    audit.record(session, by, now, "changed", "bookings", booking.id, bike=[before, bike_id])
    letters.changed(session, booking.id, told, now)


def cancel_booking(
    db: Database,
    by: Actor,
    booking_id: int,
    version: int,
    now: datetime,
    reason: GivenUpFor = GivenUpFor.STUDENT,
) -> GivenUp:
    """Cancel a booking and say whether that was late, which only a student's own wish can be.

    Raises Missing for an unknown booking, and Refused for one that cannot be cancelled any more.
    """
    with diary(db, now) as session:
        booking = booking_row(session, booking_id, version)
        row = session_row(session, booking.session_id)
        refuse(why_not_cancel(booking.state, session_state(session, row), now))
        cancel_in(session, by, booking, reason, now)
        return GivenUp(booking.session_id, booking.student_id, booking.late)


def cancel_in(
    session: Session, by: Actor, booking: BookingRow, reason: GivenUpFor, now: datetime
) -> None:
    """Cancel a booking that can be, in the caller's transaction."""
    was_booked = booking.state is BookingState.BOOKED
    notice = settings.load(session).notice_hours
    own_wish = was_booked and reason is GivenUpFor.STUDENT
    late = own_wish and is_late(booking.starts_at, now, notice)
    give_up(booking, by, reason, now, late=late)
    session.flush()
    word = "cancelled" if was_booked else "let go"
    about = {"late": late, "given_up_for": reason.value}
    audit.record(session, by, now, word, "bookings", booking.id, **about)
    close_offer(session, by, booking.id, OfferState.DECLINED, now)
    letters.cancelled(session, booking.id, now)


def mark(
    db: Database, by: Actor, booking_id: int, version: int, wanted: BookingState, now: datetime
) -> int:
    """Mark a student as here (attended) or not here (no-show); the id of the session.

    Raises Missing for an unknown booking, and Refused when it cannot be so.
    """
    with diary(db, now) as session:
        booking = booking_row(session, booking_id, version)
        row = session_row(session, booking.session_id)
        zone = school_zone(session)
        state = session_state(session, row)
        refuse(why_not_mark(booking.state, wanted, state, now, zone))
        if booking.state not in TAKING_STATES and wanted in HELD_STATES:
            _take_back(session, booking, row)
        booking.state = wanted
        booking.version += 1
        audit.record(session, by, now, f"marked {wanted}", "bookings", booking.id)
        return row.id


def _take_back(session: Session, booking: BookingRow, row: SessionRow) -> None:
    """Refuse when the place, the bike or the time of a no-show has gone to something else."""
    refuse(
        why_not_hold(
            session_state(session, row),
            rider(session, booking.student_id),
            bike_state(session, booking.bike_id),
            held(session, row, booking.student_id, booking.bike_id),
            school_zone(session),
        )
    )
