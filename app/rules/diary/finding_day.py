"""One day, looked through for a session that could be made."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from enum import IntEnum
from zoneinfo import ZoneInfo

from app.rules.diary.authorised import give_warnings, why_not_give
from app.rules.diary.clock import nearest_moment, span_of
from app.rules.diary.facts import Neighbour, Plan, SessionState, Span
from app.rules.diary.finding_facts import (
    Horizon,
    KnownBike,
    KnownInstructor,
    KnownYard,
    Listed,
    Wish,
)
from app.rules.diary.finding_places import Place, proposals, refusals, teacher_of
from app.rules.diary.finding_room import neighbours_of, room_for
from app.rules.diary.school_days import open_spans, working_spans
from app.rules.diary.sessions import why_not_stand
from app.rules.refusal import Reason

STEP = timedelta(minutes=15)
"""Sessions that the app proposes begin on a quarter of an hour. Our own choice."""

USUAL_MINUTES = 120
"""How long a session is made when nobody says. Our own choice."""

EARLIEST, LATEST = time(8), time(18)
"""Where neither the school's hours nor the instructor's are on file, nothing is proposed
outside of these. Our own choice."""


class Stage(IntEnum):
    """How far the search for an opening came on a day; the furthest says what was missing."""

    GUARDIAN = 0
    CLOSED = 1
    NOBODY_WORKS = 2
    ALL_BUSY = 3
    NO_ROOM = 4
    STUDENT_BUSY = 5
    NO_BIKE = 6
    REFUSED = 7
    FREE = 8


class DaySearch:
    """One day on which a session could be made; what several attempts ask is worked out once."""

    def __init__(
        self, wish: Wish, horizon: Horizon, day: date, now: datetime, zone: ZoneInfo
    ) -> None:
        self.wish, self.horizon, self.day, self.now, self.zone = wish, horizon, day, now, zone
        self.calendar = horizon.calendar
        self.length = timedelta(minutes=wish.minutes or USUAL_MINUTES)
        begins, ends = span_of(day, 1, zone)
        margin = self.calendar.longest_gap
        self.near = horizon.around(Span(begins - margin, ends + margin))
        self.ends = {_rounded_up(one.span.ends_at) for one in self.near}
        self.own: dict[int, list[Listed]] = {}
        for one in self.near:
            self.own.setdefault(one.instructor_id, []).append(one)
        self.furthest = Stage.CLOSED
        self.refused = ""
        self._open: dict[int, tuple[Span, ...]] = {}
        self._works: dict[int, tuple[Span, ...]] = {}
        self._room: dict[tuple[int, datetime], int] = {}
        self._student: dict[datetime, bool] = {}
        self._bikes: dict[datetime, tuple[KnownBike | None, ...]] = {}
        self._given: dict[tuple[int, datetime], list[KnownBike | None]] = {}

    def found(self) -> tuple[Place, ...]:
        """The openings in order of time, for each moment the one that needs least."""
        pairs = [(who, yard) for who in self._instructors() for yard in self._yards()]
        best: dict[datetime, Place] = {}
        for who, yard in sorted(pairs, key=lambda pair: self._effort(*pair)):
            for starts in self._gaps(who, yard):
                if starts not in best and (place := self._try(who, yard, starts)):
                    best[starts] = place
        return tuple(best[at] for at in sorted(best))

    def _instructors(self) -> list[KnownInstructor]:
        return [
            who
            for who in self.horizon.instructors.values()
            if who.state.active and self.wish.instructor_id in (None, who.id)
        ]

    def _yards(self) -> list[KnownYard]:
        return [
            yard
            for yard in self.horizon.yards.values()
            if yard.state.open
            and self.wish.yard_id in (None, yard.id)
            and not (self.wish.only_rideable and yard.lacks(self.wish.needs))
        ]

    def _effort(self, who: KnownInstructor, yard: KnownYard) -> tuple[int, int, bool]:
        warned = give_warnings(self.wish.kind, self.calendar.of(who.state), self.day)
        there = any(one.yard_id == yard.id for one in self.own.get(who.id, ()))
        return len(yard.lacks(self.wish.needs)), len(warned), not there

    def _windows(self, who: KnownInstructor, yard: KnownYard) -> list[Span]:
        """When this instructor works, this yard is open and the student can come."""
        if yard.id not in self._open:
            self._open[yard.id] = open_spans(self.day, self.calendar, self.zone, yard.id)
        if who.id not in self._works:
            self._works[who.id] = self._working(who)
        opens = self._open[yard.id]
        if opens:
            self._came_to(Stage.NOBODY_WORKS)
        return [
            both
            for one in opens
            for other in self._works[who.id]
            if (both := one.common(other)) and both.ends_at - both.starts_at >= self.length
        ]

    def _working(self, who: KnownInstructor) -> tuple[Span, ...]:
        days = self.calendar.of(who.state)
        if why_not_give(self.wish.kind, days, self.day):
            return ()
        unknown = not self.calendar.hours and not days.hours
        begins = self.wish.begins or (EARLIEST if unknown else None)
        ends = self.wish.ends or (LATEST if unknown else None)
        first, last = span_of(self.day, 1, self.zone)
        if begins:
            first = nearest_moment(self.day, begins, self.zone)
        if ends:
            last = nearest_moment(self.day, ends, self.zone, fold=1)
        wanted = Span(max(first, self.now + timedelta(seconds=1)), last)
        works = working_spans(self.day, days, self.zone)
        return tuple(both for one in works if (both := one.common(wanted)))

    def _gaps(self, who: KnownInstructor, yard: KnownYard) -> Iterator[datetime]:
        """The first moment of each gap in which nothing is in the way."""
        for window in self._windows(who, yard):
            for starts in self._starts(who, yard, window):
                if self._obstacle(who, yard, starts):
                    continue
                earlier = starts - STEP
                if earlier < window.starts_at or self._obstacle(who, yard, earlier):
                    yield starts

    def _starts(self, who: KnownInstructor, yard: KnownYard, window: Span) -> list[datetime]:
        """The moments at which something ends that may have been in the way."""
        own = self.own.get(who.id, ())
        after = {_rounded_up(one.span.ends_at + self._gap(one, yard)) for one in own}
        starts = {_rounded_up(window.starts_at), *self.ends, *after}
        latest = window.ends_at - self.length
        return sorted(at for at in starts if window.starts_at <= at <= latest)

    def _gap(self, one: Listed, yard: KnownYard) -> timedelta:
        return self.calendar.gap(same_yard=one.yard_id == yard.id)

    def _obstacle(self, who: KnownInstructor, yard: KnownYard, starts: datetime) -> Stage | None:
        span = Span(starts, starts + self.length)
        if any(self._clashes(one, yard, span) for one in self.own.get(who.id, ())):
            stage = Stage.ALL_BUSY
        elif self._places(yard, span) < 1:
            stage = Stage.NO_ROOM
        elif not self._student_free(span):
            stage = Stage.STUDENT_BUSY
        elif not self._free_bikes(span):
            stage = Stage.NO_BIKE
        elif not self._bikes_given(who, yard, span):
            stage = Stage.REFUSED
        else:
            return None
        self._came_to(stage)
        return stage

    def _try(self, who: KnownInstructor, yard: KnownYard, starts: datetime) -> Place | None:
        """The opening, when the very rule of making a session accepts it too."""
        span = Span(starts, starts + self.length)
        places = self._places(yard, span)
        plan = Plan(span, places, self.wish.kind)
        near = self._neighbours(yard, who, span)
        if against := why_not_stand(plan, yard.state, who.state, near, self.calendar, self.zone):
            self._came_to(Stage.REFUSED)
            self._say(against)
            return None
        self._came_to(Stage.FREE)
        bike = self._bikes_given(who, yard, span)[0]
        return opening(self.wish, who, yard, span, places, bike)

    def _clashes(self, one: Listed, yard: KnownYard, span: Span) -> bool:
        gap = self._gap(one, yard)
        return one.span.starts_at - gap < span.ends_at and span.starts_at < one.span.ends_at + gap

    def _places(self, yard: KnownYard, span: Span) -> int:
        """How many places a session could have here, worked out once for each moment."""
        key = (yard.id, span.starts_at)
        if key not in self._room:
            self._room[key] = self._room_in(yard, span)
        return self._room[key]

    def _room_in(self, yard: KnownYard, span: Span) -> int:
        return room_for(self.wish.kind, yard.state, span, self._neighbours(yard, None, span))

    def _student_free(self, span: Span) -> bool:
        if span.starts_at not in self._student:
            free = self.horizon.is_student_free(self.wish.student_id, span)
            self._student[span.starts_at] = free
        return self._student[span.starts_at]

    def _free_bikes(self, span: Span) -> tuple[KnownBike | None, ...]:
        if span.starts_at not in self._bikes:
            self._bikes[span.starts_at] = proposals(self.wish, self.horizon, span)
        return self._bikes[span.starts_at]

    def _neighbours(
        self, yard: KnownYard, who: KnownInstructor | None, span: Span
    ) -> tuple[Neighbour, ...]:
        return neighbours_of(self.horizon, self.near, yard.id, who.id if who else None, span)

    def _bikes_given(
        self, who: KnownInstructor, yard: KnownYard, span: Span
    ) -> list[KnownBike | None]:
        """The free bikes on which the very rule of booking lets this instructor teach them."""
        key = (who.id, span.starts_at)
        if key not in self._given:
            teacher = teacher_of(self.horizon, who.id)
            state = SessionState(span, yard.state.name, 1, 0, cancelled=False, teacher=teacher)
            self._given[key] = [one for one in self._free_bikes(span) if self._gives(state, one)]
        return self._given[key]

    def _gives(self, state: SessionState, bike: KnownBike | None) -> bool:
        against = refusals(self.wish, self.horizon, state, None, bike, self.now, self.zone)
        self._say(against)
        return not against

    def _say(self, against: tuple[Reason, ...]) -> None:
        if against and not self.refused:
            self.refused = against[0].sentence

    def _came_to(self, stage: Stage) -> None:
        self.furthest = max(self.furthest, stage)


def opening(
    wish: Wish,
    who: KnownInstructor,
    yard: KnownYard,
    span: Span,
    places: int,
    bike: KnownBike | None,
) -> Place:
    """A session that could be made, as a place in it."""
    return Place(
        session_id=None,
        kind=wish.kind,
        span=span,
        yard_id=yard.id,
        yard=yard.state.name,
        instructor_id=who.id,
        instructor=who.state.name,
        bike_id=bike.id if bike else None,
        bike=bike.state.label if bike else None,
        bike_category=bike.state.category if bike else None,
        places=places,
        free=places,
        lacks=yard.lacks(wish.needs),
    )


def _rounded_up(moment: datetime) -> datetime:
    began = datetime(1970, 1, 1, tzinfo=UTC)
    return began - (began - moment) // STEP * STEP
