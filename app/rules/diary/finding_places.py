"""Free places in the sessions that there are, for one student."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import islice
from zoneinfo import ZoneInfo

from app.rules.categories import Category
from app.rules.diary.bookings import why_not_book
from app.rules.diary.facts import Held, Plan, SessionState, Span, Teacher
from app.rules.diary.finding_facts import Horizon, KnownBike, Listed, Taking, Wish
from app.rules.diary.sessions import why_not_then
from app.rules.diary.values import SessionKind
from app.rules.people.ages import needs_guardian
from app.rules.refusal import Reason

ANOTHER = "another student"
"""Who else has a bike makes no difference to what is found."""


class Obstacle(StrEnum):
    """What stands between a student and a session, in the order in which it is looked at."""

    OTHER_TIME = "other_time"
    TOO_SHORT = "too_short"
    OTHER_YARD = "other_yard"
    OTHER_INSTRUCTOR = "other_instructor"
    NOT_RIDEABLE = "not_rideable"
    GUARDIAN = "guardian"
    STUDENT_BUSY = "student_busy"
    FULL = "full"
    NO_BIKE = "no_bike"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Place:
    """A place that can be booked now, or, without ``session_id``, a session that could be made.

    ``bike_id`` is None for the student's own bike. ``free`` of ``places`` are left before
    the student is in. ``lacks`` says what they must practise and cannot ride there,
    ``reasons`` what speaks for the place or against it.
    """

    session_id: int | None
    kind: SessionKind
    span: Span
    yard_id: int
    yard: str
    instructor_id: int
    instructor: str
    bike_id: int | None
    bike: str | None
    bike_category: Category | None
    places: int
    free: int
    lacks: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()

    @property
    def is_opening(self) -> bool:
        """Whether the session would have to be made first."""
        return self.session_id is None


def places_in_sessions(
    wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo, most: int | None = None
) -> tuple[Place, ...]:
    """The free places for a wish in the sessions that there are, in order of time.

    Each has a bike proposed, the best that is free, and is accepted by ``why_not_book``.
    ``most`` is enough of them, None for all.
    """
    return tuple(islice(each_place(wish, horizon, now, zone), most))


def each_place(wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo) -> Iterator[Place]:
    """The same one by one, for those who stop early."""
    for listed in candidates(wish, horizon):
        if horizon.taken(listed.id) >= listed.places:
            continue
        looked = look(wish, horizon, listed, now, zone)
        if isinstance(looked, Place):
            yield looked


def candidates(wish: Wish, horizon: Horizon) -> Iterator[Listed]:
    """The sessions of the kind that is wished for, between the two days."""
    for listed in horizon.sessions:
        named = wish.session_id in (None, listed.id)
        if listed.kind is wish.kind and named and wish.first_day <= listed.day <= wish.last_day:
            yield listed


def look(
    wish: Wish, horizon: Horizon, listed: Listed, now: datetime, zone: ZoneInfo
) -> Place | Obstacle:
    """The place that is free for a wish in this session, or the first thing in the way of it."""
    if obstacle := _not_wished(wish, horizon, listed, now):
        return obstacle
    if obstacle := _taken(wish, horizon, listed):
        return obstacle
    bikes = proposals(wish, horizon, listed.span)
    if not bikes:
        return Obstacle.NO_BIKE
    state = state_of(horizon, listed, zone)
    for bike in bikes:
        # The last word has the very rule that the booking will be judged by.
        if not refusals(wish, horizon, state, listed.id, bike, now, zone):
            return _place(wish, horizon, listed, bike)
    return Obstacle.REFUSED


def _not_wished(wish: Wish, horizon: Horizon, listed: Listed, now: datetime) -> Obstacle | None:
    if listed.span.starts_at <= now or not _at_a_good_time(wish, listed):
        return Obstacle.OTHER_TIME
    if wish.minutes and listed.span.ends_at - listed.span.starts_at < timedelta(
        minutes=wish.minutes
    ):
        return Obstacle.TOO_SHORT
    if wish.yard_id not in (None, listed.yard_id):
        return Obstacle.OTHER_YARD
    if wish.instructor_id not in (None, listed.instructor_id):
        return Obstacle.OTHER_INSTRUCTOR
    if wish.only_rideable and horizon.yards[listed.yard_id].lacks(wish.needs):
        return Obstacle.NOT_RIDEABLE
    return None


def _at_a_good_time(wish: Wish, listed: Listed) -> bool:
    if listed.day.weekday() not in wish.weekdays:
        return False
    if wish.begins is not None and listed.begins < wish.begins:
        return False
    return wish.ends is None or (listed.ends is not None and listed.ends <= wish.ends)


def _taken(wish: Wish, horizon: Horizon, listed: Listed) -> Obstacle | None:
    if needs_guardian(wish.rider.born, listed.day) and not wish.rider.has_guardian:
        return Obstacle.GUARDIAN
    if not horizon.is_student_free(wish.student_id, listed.span):
        return Obstacle.STUDENT_BUSY
    return Obstacle.FULL if horizon.taken(listed.id) >= listed.places else None


def proposals(wish: Wish, horizon: Horizon, span: Span) -> tuple[KnownBike | None, ...]:
    """The bikes to propose at a time: one of each category that suits and is free, best first.

    None stands for the student's own bike. Nothing else about a bike can make the rules
    of booking say no, so that the others of its category need no look.
    """
    if wish.own_bike:
        return (None,)
    busy = horizon.busy_bikes(span)
    best: dict[Category, KnownBike] = {}
    for bike in horizon.suiting[wish.rider.category]:
        if bike.id not in busy:
            best.setdefault(bike.state.category, bike)
    return tuple(best.values())


def refusals(
    wish: Wish,
    horizon: Horizon,
    state: SessionState,
    session_id: int | None,
    bike: KnownBike | None,
    now: datetime,
    zone: ZoneInfo,
) -> tuple[Reason, ...]:
    """What the rule of booking says against a place, in a session that is or could be made."""
    held = held_around(wish, horizon, state.span, session_id, bike.id if bike else None)
    return why_not_book(state, wish.rider, bike.state if bike else None, held, now, zone)


def state_of(horizon: Horizon, listed: Listed, zone: ZoneInfo) -> SessionState:
    """A session as the rules of booking are told of it."""
    yard, who = horizon.yards[listed.yard_id], horizon.instructors[listed.instructor_id]
    plan = Plan(listed.span, listed.places, listed.kind)
    return SessionState(
        span=listed.span,
        yard=yard.state.name,
        places=listed.places,
        taken=horizon.taken(listed.id),
        cancelled=False,
        teacher=teacher_of(horizon, listed.instructor_id),
        against=why_not_then(plan, yard.state, who.state, horizon.calendar, zone),
    )


def teacher_of(horizon: Horizon, instructor_id: int) -> Teacher:
    """Who gives a session, as the rules of booking are told of them."""
    days = horizon.calendar.of(horizon.instructors[instructor_id].state)
    return Teacher(days.name, days.authorisations)


def held_around(
    wish: Wish, horizon: Horizon, span: Span, session_id: int | None, bike_id: int | None
) -> tuple[Held, ...]:
    """The places of this student, and those on this bike, that overlap a time."""
    return tuple(
        _held(wish, horizon, session_id, taking, bike_id)
        for one in horizon.around(span)
        for taking in horizon.inside.get(one.id, ())
        if taking.student_id == wish.student_id or taking.bike_id == bike_id is not None
    )


def _held(
    wish: Wish, horizon: Horizon, asked: int | None, taking: Taking, bike_id: int | None
) -> Held:
    one = horizon.by_id[taking.session_id]
    bike = None if taking.bike_id is None else horizon.bikes[taking.bike_id].state.label
    return Held(
        span=one.span,
        yard=horizon.yards[one.yard_id].state.name,
        student=wish.rider.name if taking.student_id == wish.student_id else ANOTHER,
        bike=bike,
        same_student=taking.student_id == wish.student_id,
        same_bike=bike_id is not None and taking.bike_id == bike_id,
        same_session=one.id == asked,
    )


def _place(wish: Wish, horizon: Horizon, listed: Listed, bike: KnownBike | None) -> Place:
    yard = horizon.yards[listed.yard_id]
    return Place(
        session_id=listed.id,
        kind=listed.kind,
        span=listed.span,
        yard_id=listed.yard_id,
        yard=yard.state.name,
        instructor_id=listed.instructor_id,
        instructor=horizon.instructors[listed.instructor_id].state.name,
        bike_id=bike.id if bike else None,
        bike=bike.state.label if bike else None,
        bike_category=bike.state.category if bike else None,
        places=listed.places,
        free=listed.places - horizon.taken(listed.id),
        lacks=yard.lacks(wish.needs),
    )
