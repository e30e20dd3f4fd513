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
    differ = any(place.lacks for place in places)
    told: list[Place] = []
    for place in places:
        said = ["The soonest."] if place is first else []
        said += ["All that is flagged can be ridden there."] if differ and not place.lacks else []
        told.append(replace(place, reasons=(*said, *_reasons(place, wish, horizon, zone))))
    return tuple(told)


def _reasons(place: Place, wish: Wish, horizon: Horizon, zone: ZoneInfo) -> Iterator[str]:
    yield from place.lacks
    if place.bike_category not in (None, wish.rider.category):
        yield f"The best bike to give then is category {place.bike_category}."
    who = horizon.calendar.of(horizon.instructors[place.instructor_id].state)
    day = day_of(place.span.starts_at, zone)
    yield from give_warnings(place.kind, who, day)
    yield from teach_warnings(who, wish.rider.category, place.bike_category, day)
