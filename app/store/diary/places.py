"""Taking and giving up places: the pieces that every write about bookings is made of."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.bookings import why_not_book
from app.rules.diary.clock import day_of
from app.rules.diary.facts import Held, Plan
from app.rules.diary.sessions import why_not_then
from app.rules.diary.values import BookingState, GivenUpFor
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit, settings
from app.store.diary import school_days
from app.store.diary.loading import (
    bike_state,
    held_around,
    instructor_state,
    rider,
    school_zone,
    session_row,
    session_state,
    span,
    yard_state,
    zone_of,
)
from app.store.diary.tables import BookingRow, SessionRow
from app.store.stale import check_version


@dataclass(frozen=True, slots=True)
class WantedPlace:
    """A place that a student wants in a session. Without ``bike_id`` they ride their own bike."""

    session_id: int
    student_id: int
    bike_id: int | None


def against(
    session: Session, wanted: WantedPlace, now: datetime, but: int | None = None
) -> tuple[Reason, ...]:
    """Every reason against a place, ``but`` being the booking that would be moved into it.

    Raises Missing for an unknown session or student.
    """
    row = session_row(session, wanted.session_id)
    return why_not_book(
        replace(session_state(session, row), against=shut(session, row)),
        rider(session, wanted.student_id),
        bike_state(session, wanted.bike_id),
        held(session, row, wanted.student_id, wanted.bike_id, but),
        now,
        school_zone(session),
    )


def shut(session: Session, row: SessionRow) -> tuple[Reason, ...]:
    """What forbids the session itself since it was made: a closure, a day off, a lapse."""
    school = settings.load(session)
    zone = zone_of(school)
    days = day_of(row.starts_at, zone), day_of(row.ends_at, zone)
    return why_not_then(
        Plan(span(row), row.places, row.kind),
        yard_state(session, row.yard_id),
        instructor_state(session, row.instructor_id),
        school_days.load(session, *days, school),
        zone,
    )


def held(
    session: Session,
    row: SessionRow,
    student_id: int,
    bike_id: int | None,
    but: int | None = None,
) -> tuple[Held, ...]:
    """What this student and this bike are in at the time of a session, ``but`` aside."""
    bikes = () if bike_id is None else (bike_id,)
    return held_around(session, span(row), row.id, (student_id,), bikes, but)


def take(
    session: Session,
    by: Actor,
    wanted: WantedPlace,
    now: datetime,
    *,
    held_until: datetime | None = None,
    course_id: int | None = None,
) -> int:
    """Keep a place that no rule speaks against; the booking's id. With ``held_until`` only held."""
    row = BookingRow(
        session_id=wanted.session_id,
        student_id=wanted.student_id,
        bike_id=wanted.bike_id,
        state=BookingState.HELD if held_until else BookingState.BOOKED,
        held_until=held_until,
        course_id=course_id,
        booked_at=now,
        booked_by=by.account_id,
    )
    session.add(row)
    session.flush()
    word = "held" if held_until else "booked"
    about = {"in_session": wanted.session_id, "student": wanted.student_id, "bike": wanted.bike_id}
    audit.record(session, by, now, word, "bookings", row.id, **about)
    return row.id


def give_up(
    booking: BookingRow, by: Actor, reason: GivenUpFor, now: datetime, *, late: bool = False
) -> None:
    """Mark a place as given up. Whoever calls writes the audit and the message."""
    booking.state, booking.given_up_for, booking.late = BookingState.CANCELLED, reason, late
    booking.cancelled_at, booking.cancelled_by = now, by.account_id
    booking.held_until = None
    booking.version += 1


def booking_row(session: Session, booking_id: int, version: int | None = None) -> BookingRow:
    """A booking's row; Missing when there is none, Refused when it changed since ``version``."""
    row = session.get(BookingRow, booking_id)
    if row is None:
        raise Missing
    if version is not None:
        check_version(row.version, version)
    return row


def refuse(reasons: tuple[Reason, ...]) -> None:
    """Raise Refused when there is any reason."""
    if reasons:
        raise Refused(*reasons)
