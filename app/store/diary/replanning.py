"""Instructor ill, yard closed, bike broken: everything affected, and doing it all at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.bookings import why_not_cancel
from app.rules.diary.clock import day_of
from app.rules.diary.facts import Plan, SessionWish, Span
from app.rules.diary.values import GivenUpFor
from app.rules.diary.waiting import WaitingWish
from app.rules.people.days import DaysOut
from app.rules.refusal import Reason, Refused
from app.rules.words import moment_words
from app.store.database import Database
from app.store.diary.booking_writes import cancel_in, set_bike
from app.store.diary.life import diary
from app.store.diary.loading import instructor_state, rider, school_zone, session_row, session_state
from app.store.diary.moving import Target, move_in
from app.store.diary.places import booking_row, refuse
from app.store.diary.session_writes import cancel_session_in, edit_in
from app.store.diary.tables import BookingRow, SessionRow
from app.store.diary.waiting_writes import wait_in, waits_already
from app.store.people.instructor_writes import days_off_in
from app.store.stale import check_version
from app.store.yards.writes import off_road_in

WAITS = timedelta(days=28)
"""For so long somebody whose session fell away waits for another. Our own choice."""


@dataclass(frozen=True, slots=True)
class SwapIt:
    """Give a session to another instructor, or have it in another yard."""

    session_id: int
    version: int
    instructor_id: int
    yard_id: int


@dataclass(frozen=True, slots=True)
class DropIt:
    """Cancel a session, which its riders have left before."""

    session_id: int
    version: int


@dataclass(frozen=True, slots=True)
class Reseat:
    """Put a rider somewhere else; without ``target`` their place is cancelled by the school.

    With ``waits`` they go onto the waiting list then.
    """

    booking_id: int
    version: int
    target: Target | None
    waits: bool = False


@dataclass(frozen=True, slots=True)
class AwayIt:
    """Note that an instructor does not work on these days, both included."""

    instructor_id: int
    first_day: date
    last_day: date


@dataclass(frozen=True, slots=True)
class OffRoadIt:
    """Take a bike off the road for a reason."""

    bike_id: int
    reason: str


@dataclass(frozen=True, slots=True)
class Replanned:
    """What was done: sessions that go on otherwise, sessions cancelled, riders moved and not."""

    swapped: int
    dropped: int
    moved: int
    given_up: int


Decision = SwapIt | Reseat | DropIt | AwayIt | OffRoadIt


def replan(db: Database, by: Actor, decisions: Iterable[Decision], now: datetime) -> Replanned:
    """Do all of it in one go. Raises Refused with every reason, and then nothing is done."""
    decisions = tuple(decisions)
    with diary(db, now) as session:
        # Before the first change, since each raises the versions of what lies around it.
        for one in decisions:
            _check(session, one)
        reasons = [
            reason for one in _in_order(decisions) for reason in _tried(session, by, one, now)
        ]
        if reasons:
            raise Refused(*reasons)
        return _counted(decisions)


def _in_order(decisions: Iterable[Decision]) -> list[Decision]:
    order = {SwapIt: 0, Reseat: 1, DropIt: 2, AwayIt: 3, OffRoadIt: 3}
    return sorted(decisions, key=lambda one: order[type(one)])


def _check(session: Session, one: Decision) -> None:
    if isinstance(one, Reseat):
        booking_row(session, one.booking_id, one.version)
    elif isinstance(one, SwapIt | DropIt):
        check_version(session_row(session, one.session_id).version, one.version)


def _tried(session: Session, by: Actor, one: Decision, now: datetime) -> tuple[Reason, ...]:
    """Do one thing; the reasons against it with whom they concern, so that all are told at once."""
    try:
        _DO[type(one)](session, by, one, now)
    except Refused as no:
        about = _about(session, one)
        return tuple(Reason(f"{about}: {reason.sentence}") for reason in no.reasons)
    return ()


def _about(session: Session, one: Decision) -> str:
    if isinstance(one, Reseat):
        return rider(session, booking_row(session, one.booking_id).student_id).name
    if isinstance(one, AwayIt):
        return instructor_state(session, one.instructor_id).name
    if isinstance(one, OffRoadIt):
        return "The bike"
    starts = session_row(session, one.session_id).starts_at
    return moment_words(starts, school_zone(session))


def _swap(session: Session, by: Actor, one: SwapIt, now: datetime) -> None:
    row = session_row(session, one.session_id)
    zone = school_zone(session)
    wish = SessionWish(
        yard_id=one.yard_id,
        instructor_id=one.instructor_id,
        kind=row.kind,
        day=day_of(row.starts_at, zone),
        starts=row.starts_at.astimezone(zone).time(),
        ends=row.ends_at.astimezone(zone).time(),
        places=row.places,
        remarks=row.remarks,
    )
    # The moments themselves, since an hour that comes twice cannot be told by its clock time.
    plan = Plan(Span(row.starts_at, row.ends_at), row.places, row.kind)
    edit_in(session, by, row, wish, plan, now)


def _reseat(session: Session, by: Actor, one: Reseat, now: datetime) -> None:
    booking = booking_row(session, one.booking_id)
    row = session_row(session, booking.session_id)
    if one.target is None:
        refuse(why_not_cancel(booking.state, session_state(session, row), now))
        cancel_in(session, by, booking, GivenUpFor.SCHOOL, now)
        wish = _waits(session, booking, row, now)
        # Who is on the list already keeps the better turn.
        if one.waits and not waits_already(session, wish):
            wait_in(session, by, wish, now)
    elif one.target.session_id == booking.session_id:
        set_bike(session, by, booking, one.target.bike_id, now)
    else:
        move_in(session, by, booking, one.target, now)


def _waits(session: Session, booking: BookingRow, row: SessionRow, now: datetime) -> WaitingWish:
    today = day_of(now, school_zone(session))
    return WaitingWish(
        student_id=booking.student_id,
        kind=row.kind,
        earliest=today,
        latest=today + WAITS,
        own_bike=booking.bike_id is None,
    )


def _drop(session: Session, by: Actor, one: DropIt, now: datetime) -> None:
    cancel_session_in(session, by, session_row(session, one.session_id), now)


def _away(session: Session, by: Actor, one: AwayIt, now: datetime) -> None:
    days_off_in(session, by, one.instructor_id, DaysOut(one.first_day, one.last_day, ""), now)


def _off_road(session: Session, by: Actor, one: OffRoadIt, now: datetime) -> None:
    off_road_in(session, by, one.bike_id, one.reason, now)


_DO: dict[type[Decision], Callable[..., None]] = {
    SwapIt: _swap,
    Reseat: _reseat,
    DropIt: _drop,
    AwayIt: _away,
    OffRoadIt: _off_road,
}


def _counted(decisions: tuple[Decision, ...]) -> Replanned:
    reseats = [one for one in decisions if isinstance(one, Reseat)]
    moved = sum(one.target is not None for one in reseats)
    return Replanned(
        swapped=sum(isinstance(one, SwapIt) for one in decisions),
        dropped=sum(isinstance(one, DropIt) for one in decisions),
        moved=moved,
        given_up=len(reseats) - moved,
    )
