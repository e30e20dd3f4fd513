"""What lies around a time in a yard, and how many places there is room for."""

from __future__ import annotations

from collections.abc import Iterable

from app.rules.diary.facts import Neighbour, Plan, Span, YardState
from app.rules.diary.finding_facts import Horizon, Listed
from app.rules.diary.sessions import RIDERS_ON_THE_ROAD, most_at_once
from app.rules.diary.values import SessionKind
from app.rules.yards.area import YardFacts, riders_at_once


def neighbours_of(
    horizon: Horizon, near: Iterable[Listed], yard_id: int, instructor_id: int | None, span: Span
) -> tuple[Neighbour, ...]:
    """The sessions in this yard or of this instructor that lie near a time, for the rules."""
    gap = horizon.calendar.longest_gap
    wide = Span(span.starts_at - gap, span.ends_at + gap)
    return tuple(
        Neighbour(
            span=one.span,
            yard=horizon.yards[one.yard_id].state.name,
            instructor=horizon.instructors[one.instructor_id].state.name,
            places=one.places,
            same_yard=one.yard_id == yard_id,
            same_instructor=one.instructor_id == instructor_id,
            on_road=one.kind is SessionKind.ROAD,
        )
        for one in near
        if (one.yard_id == yard_id or one.instructor_id == instructor_id)
        and one.span.overlaps(wide)
    )


def room_for(
    kind: SessionKind, yard: YardState, span: Span, neighbours: Iterable[Neighbour]
) -> int:
    """How many places a session could have in a yard at a time; none or less when it is full."""
    if kind is SessionKind.ROAD:
        return RIDERS_ON_THE_ROAD
    used = most_at_once(Plan(span, 1, kind), neighbours)
    return min(riders_at_once(YardFacts(yard.length_m, yard.width_m)).riders, yard.places - used)
