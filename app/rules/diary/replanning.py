"""When an instructor is ill, a yard is closed or a bike breaks: what could be done instead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from app.rules.diary.facts import BikeState, Plan, Rider, Span
from app.rules.diary.finding_facts import Horizon, Listed, Taking, Wish
from app.rules.diary.finding_places import Place, places_in_sessions, state_of
from app.rules.diary.finding_room import neighbours_of
from app.rules.diary.sessions import why_not_stand
from app.rules.diary.taking_along import why_not_take_along

LATER = timedelta(days=28)
"""So far after a session another is looked for. Our own choice."""

MOST_WAYS = 4
"""So many other places are proposed to a rider. Our own choice."""


class Lost(StrEnum):
    """What is not there as it was planned."""

    INSTRUCTOR = "instructor"
    YARD = "yard"
    BIKE = "bike"


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is lost, by its id."""

    lost: Lost
    id: int

    @property
    def word(self) -> str:
        """It as an address says it: ``bike-7``."""
        return f"{self.lost}-{self.id}"


@dataclass(frozen=True, slots=True)
class Swap:
    """The same session with another instructor, or in another yard; nobody has to move."""

    instructor_id: int
    yard_id: int
    name: str


@dataclass(frozen=True, slots=True)
class RiderPlan:
    """One rider of a session in trouble, and the places that could be theirs, soonest first."""

    taking: Taking
    ways: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class SessionPlan:
    """A session in trouble: who could give it or where, and else what becomes of its riders."""

    session: Listed
    swaps: tuple[Swap, ...]
    riders: tuple[RiderPlan, ...]


def plan_anew(
    trouble: Trouble,
    sessions: Iterable[Listed],
    riders: Mapping[int, Rider],
    horizon: Horizon,
    now: datetime,
    zone: ZoneInfo,
) -> tuple[SessionPlan, ...]:
    """What could be done about each of these sessions, in order.

    The first proposal of each is taken as done before the next is looked at, so that
    all the first ones can be done together.
    """
    desk = _Replanning(trouble, tuple(sessions), riders, horizon, now, zone)
    return tuple(desk.plan(one) for one in desk.sessions)


def _given(one: Listed, swap: Swap) -> Listed:
    return replace(one, instructor_id=swap.instructor_id, yard_id=swap.yard_id)


class _Replanning:
    """One trouble being planned around; ``diary`` is what it would be after the plans so far."""

    def __init__(
        self,
        trouble: Trouble,
        sessions: tuple[Listed, ...],
        riders: Mapping[int, Rider],
        horizon: Horizon,
        now: datetime,
        zone: ZoneInfo,
    ) -> None:
        self.trouble, self.sessions, self.riders = trouble, sessions, riders
        self.now, self.zone = now, zone
        self.inside = {one.id: self._concerned(horizon, one) for one in sessions}
        self.diary = self._without(horizon)

    def _concerned(self, horizon: Horizon, one: Listed) -> tuple[Taking, ...]:
        inside = horizon.inside.get(one.id, ())
        if self.trouble.lost is not Lost.BIKE:
            return inside
        return tuple(taking for taking in inside if taking.bike_id == self.trouble.id)

    def _without(self, horizon: Horizon) -> Horizon:
        if self.trouble.lost is Lost.BIKE:
            ids = [t.booking_id for found in self.inside.values() for t in found]
            off = horizon.with_bike_off(self.trouble.id, "It cannot be ridden")
            return off.without_bookings(one for one in ids if one is not None)
        for one in self.sessions:
            horizon = horizon.without_session(one.id)
        return horizon

    def plan(self, one: Listed) -> SessionPlan:
        """The proposals for one session."""
        swaps = self._swaps(one)
        before = self.diary
        riders = tuple(self._rider(one, taking) for taking in self.inside[one.id])
        if swaps:
            self.diary = before.with_session(_given(one, swaps[0]), self.inside[one.id])
        return SessionPlan(one, swaps, riders)

    def _swaps(self, one: Listed) -> tuple[Swap, ...]:
        if self.trouble.lost is Lost.INSTRUCTOR:
            others = [
                Swap(who.id, one.yard_id, who.state.name)
                for who in self.diary.instructors.values()
                if who.id != self.trouble.id and who.state.active
            ]
        elif self.trouble.lost is Lost.YARD:
            others = [
                Swap(one.instructor_id, yard.id, yard.state.name)
                for yard in self.diary.yards.values()
                if yard.id != self.trouble.id and yard.state.open
            ]
        else:
            return ()
        return tuple(swap for swap in others if self._stands(one, swap))

    def _stands(self, one: Listed, swap: Swap) -> bool:
        diary = self.diary
        who, yard = diary.instructors[swap.instructor_id], diary.yards[swap.yard_id]
        gap = diary.calendar.longest_gap
        near = diary.around(Span(one.span.starts_at - gap, one.span.ends_at + gap))
        around = neighbours_of(diary, near, yard.id, who.id, one.span)
        plan = Plan(one.span, one.places, one.kind)
        if why_not_stand(plan, yard.state, who.state, around, diary.calendar, self.zone):
            return False
        then = state_of(diary, _given(one, swap), self.zone)
        inside = (self._seated(taking) for taking in self.inside[one.id])
        return not why_not_take_along(then, inside, self.zone)

    def _seated(self, taking: Taking) -> tuple[Rider, BikeState | None]:
        bike = self.diary.bikes[taking.bike_id].state if taking.bike_id else None
        return self.riders[taking.student_id], bike

    def _rider(self, one: Listed, taking: Taking) -> RiderPlan:
        length = one.span.ends_at - one.span.starts_at
        wish = Wish(
            student_id=taking.student_id,
            rider=self.riders[taking.student_id],
            kind=one.kind,
            first_day=one.day,
            last_day=one.day + LATER,
            minutes=round(length.total_seconds() / 60),
            own_bike=taking.bike_id is None,
        )
        ways = places_in_sessions(wish, self.diary, self.now, self.zone, MOST_WAYS)
        if ways and ways[0].session_id is not None:
            # Or the next rider would be proposed the very same place.
            to, bike = ways[0].session_id, ways[0].bike_id
            self.diary = self.diary.with_booking(to, taking.student_id, bike)
        return RiderPlan(taking, ways)
