"""What finding a place is told: what a student wants, and all that stands in the diary for it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple

from app.rules.categories import Category
from app.rules.diary.bikes import preference, suits
from app.rules.diary.facts import BikeState, InstructorState, Rider, Span, YardState
from app.rules.diary.school_days import SchoolCalendar
from app.rules.diary.values import SessionKind
from app.rules.yards.area import YardFacts, why_not_rideable

EVERY_DAY = frozenset(range(7))

MOST_DAYS = 90
"""So many days are looked through at most. Our own bound."""


@dataclass(frozen=True, slots=True)
class Need:
    """Something that the student must practise, and what it asks of a yard.

    ``variant`` is ``only``, ``left`` or ``right``; ``name`` is how it is said to people.
    """

    name: str
    variant: str
    speed_run: bool


@dataclass(frozen=True, slots=True)
class Wish:
    """What a student wants, and when they can.

    ``minutes`` is the least length, None for any. Days include both ends; a weekday
    is 0 for Monday. ``begins`` and ``ends`` are the school's own time of day, within
    which a session has to lie. ``only_rideable`` leaves out the yards where not all of
    ``needs`` can be ridden; otherwise they only come later. ``session_id`` asks for one
    session and no other.
    """

    student_id: int
    rider: Rider
    kind: SessionKind
    first_day: date
    last_day: date
    minutes: int | None = None
    weekdays: frozenset[int] = EVERY_DAY
    begins: time | None = None
    ends: time | None = None
    own_bike: bool = False
    needs: tuple[Need, ...] = ()
    only_rideable: bool = False
    yard_id: int | None = None
    instructor_id: int | None = None
    session_id: int | None = None


@dataclass(frozen=True, slots=True)
class Listed:
    """A session that is not cancelled. ``day``, ``begins`` and ``ends`` are by the school's clock.

    ``ends`` is None for one that ends on another day than it began.
    """

    id: int
    kind: SessionKind
    yard_id: int
    instructor_id: int
    span: Span
    places: int
    day: date
    begins: time
    ends: time | None


class Taking(NamedTuple):
    """A place in a session that is taken: by whom, on which bike (None for their own).

    A plain tuple, since a school has many thousands of them.
    """

    booking_id: int | None
    session_id: int
    student_id: int
    bike_id: int | None


@dataclass(frozen=True, slots=True)
class KnownYard:
    """A yard of the school, and what can be ridden there."""

    id: int
    state: YardState
    area: YardFacts

    def lacks(self, needs: Iterable[Need]) -> tuple[str, ...]:
        """A sentence for each of these that cannot be ridden here."""
        return tuple(
            f"{need.name} cannot be ridden there. {why}"
            for need in needs
            if (why := why_not_rideable(need.variant, self.area, needs_speed_run=need.speed_run))
        )


@dataclass(frozen=True, slots=True)
class KnownInstructor:
    """An instructor of the school."""

    id: int
    state: InstructorState


@dataclass(frozen=True, slots=True)
class KnownBike:
    """A bike of the school."""

    id: int
    state: BikeState


@dataclass(frozen=True, slots=True)
class Horizon:
    """Everything in the diary that finding a place between two days can depend on.

    ``sessions`` are in order of time, and reach a day further at both ends. ``inside``
    has the places that are taken in each session, ``of_student`` the sessions that each
    student is in. A place whose hold is over is not taken. ``suiting`` has the bikes on the
    road for a student of each category, the best first.
    """

    first_day: date
    last_day: date
    sessions: tuple[Listed, ...]
    yards: Mapping[int, KnownYard]
    instructors: Mapping[int, KnownInstructor]
    bikes: Mapping[int, KnownBike]
    calendar: SchoolCalendar
    inside: Mapping[int, tuple[Taking, ...]] = field(default_factory=dict)
    of_student: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    by_id: Mapping[int, Listed] = field(default_factory=dict)
    starts: tuple[datetime, ...] = ()
    longest: timedelta = timedelta(0)
    suiting: Mapping[Category, tuple[KnownBike, ...]] = field(default_factory=dict)

    def taken(self, session_id: int) -> int:
        """How many places of a session are taken."""
        return len(self.inside.get(session_id, ()))

    def around(self, span: Span) -> list[Listed]:
        """The sessions that overlap a time, in order of time."""
        first = bisect_right(self.starts, span.starts_at - self.longest)
        last = bisect_left(self.starts, span.ends_at)
        return [one for one in self.sessions[first:last] if one.span.overlaps(span)]

    def is_student_free(self, student_id: int, span: Span) -> bool:
        """Whether the student is in no session that overlaps a time."""
        mine = self.of_student.get(student_id, ())
        return not any(self.by_id[one].span.overlaps(span) for one in mine)

    def busy_bikes(self, span: Span) -> set[int]:
        """The bikes that are ridden in a session that overlaps a time."""
        return {
            taking.bike_id
            for one in self.around(span)
            for taking in self.inside.get(one.id, ())
            if taking.bike_id is not None
        }

    def with_booking(self, session_id: int, student_id: int, bike_id: int | None) -> Horizon:
        """The same diary in which this student has just taken a place."""
        taking = Taking(None, session_id, student_id, bike_id)
        inside = {**self.inside, session_id: (*self.inside.get(session_id, ()), taking)}
        mine = (*self.of_student.get(student_id, ()), session_id)
        return replace(self, inside=inside, of_student={**self.of_student, student_id: mine})

    def without_bookings(self, booking_ids: Iterable[int]) -> Horizon:
        """The same diary in which these places have just been given up."""
        gone = set(booking_ids)
        left = [t for found in self.inside.values() for t in found if t.booking_id not in gone]
        return replace(self, **_by_session_and_student(left))

    def without_session(self, session_id: int) -> Horizon:
        """The same diary without one session and the places in it."""
        others = tuple(one for one in self.sessions if one.id != session_id)
        left = [t for found in self.inside.values() for t in found if t.session_id != session_id]
        return replace(self, **_by_time(others), **_by_session_and_student(left))

    def with_session(self, listed: Listed, inside: Iterable[Taking]) -> Horizon:
        """The same diary with one session more and the places that are taken in it."""
        takings = [t for found in self.inside.values() for t in found]
        return replace(
            self,
            **_by_time((*self.sessions, listed)),
            **_by_session_and_student((*takings, *inside)),
        )

    def with_bike_off(self, bike_id: int, reason: str) -> Horizon:
        """The same diary in which a bike is off the road, whoever was to ride it."""
        return self._with_bike(bike_id, reason)

    def with_bike_back(self, bike_id: int) -> Horizon:
        """The same diary in which a bike is back on the road."""
        return self._with_bike(bike_id, None)

    def _with_bike(self, bike_id: int, off_road_reason: str | None) -> Horizon:
        bike = self.bikes[bike_id]
        state = replace(bike.state, off_road_reason=off_road_reason)
        bikes = {**self.bikes, bike_id: replace(bike, state=state)}
        return replace(self, bikes=bikes, suiting=_suiting(bikes.values()))


def horizon_of(
    days: tuple[date, date],
    sessions: Iterable[Listed],
    takings: Iterable[Taking],
    yards: Iterable[KnownYard],
    instructors: Iterable[KnownInstructor],
    bikes: Iterable[KnownBike],
    calendar: SchoolCalendar,
) -> Horizon:
    """A horizon out of what was found, in any order."""
    bikes = tuple(bikes)
    return Horizon(
        first_day=days[0],
        last_day=days[1],
        calendar=calendar,
        yards={one.id: one for one in yards},
        instructors={one.id: one for one in instructors},
        bikes={one.id: one for one in bikes},
        suiting=_suiting(bikes),
        **_by_time(sessions),
        **_by_session_and_student(takings),
    )


def _suiting(bikes: Iterable[KnownBike]) -> dict[Category, tuple[KnownBike, ...]]:
    known = tuple(bikes)
    return {category: _suitable(known, category) for category in Category}


def _suitable(bikes: Iterable[KnownBike], category: Category) -> tuple[KnownBike, ...]:
    fit = [
        bike
        for bike in bikes
        if bike.state.off_road_reason is None and suits(bike.state.category, category)
    ]
    return tuple(sorted(fit, key=lambda one: (preference(one.state.category, category), one.id)))


def _by_time(sessions: Iterable[Listed]) -> dict[str, Any]:
    ordered = tuple(sorted(sessions, key=lambda one: (one.span.starts_at, one.id)))
    lengths = (one.span.ends_at - one.span.starts_at for one in ordered)
    return {
        "sessions": ordered,
        "by_id": {one.id: one for one in ordered},
        "starts": tuple(one.span.starts_at for one in ordered),
        "longest": max(lengths, default=timedelta(0)),
    }


def _by_session_and_student(takings: Iterable[Taking]) -> dict[str, Any]:
    inside: dict[int, list[Taking]] = {}
    of_student: dict[int, list[int]] = {}
    for one in takings:
        inside.setdefault(one.session_id, []).append(one)
        of_student.setdefault(one.student_id, []).append(one.session_id)
    return {
        "inside": {key: tuple(found) for key, found in inside.items()},
        "of_student": {key: tuple(found) for key, found in of_student.items()},
    }
