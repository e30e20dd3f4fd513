"""What speaks for each place that was found, or against it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from app.rules.diary.authorised import give_warnings, teach_warnings
from app.rules.diary.clock import day_of
from app.rules.diary.finding_facts import Horizon, Wish
from app.rules.diary.finding_places import Place


def with_reasons(
    places: Sequence[Place], wish: Wish, horizon: Horizon, zone: ZoneInfo
) -> tuple[Place, ...]:
    """The places, each with what speaks for it or against it."""
    first = min(places, key=lambda place: place.span.starts_at)
    return tuple(
        replace(place, reasons=tuple(_reasons(place, place is first, wish, horizon, zone)))
        for place in places
    )


def _reasons(
    place: Place, is_first: bool, wish: Wish, horizon: Horizon, zone: ZoneInfo
) -> Iterator[str]:
    if is_first:
        yield "The soonest."
    yield from place.lacks
    if wish.needs and not place.lacks:
        yield "All that is flagged can be ridden there."
    if place.bike_category not in (None, wish.rider.category):
        yield f"The best bike to give then is category {place.bike_category}."
    who = horizon.calendar.of(horizon.instructors[place.instructor_id].state)
    day = day_of(place.span.starts_at, zone)
    yield from give_warnings(place.kind, who, day)
    yield from teach_warnings(who, wish.rider.category, place.bike_category, day)
