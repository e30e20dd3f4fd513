"""A course out of the free places: one after the other, with days in between."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.clock import day_of
from app.rules.diary.finding_facts import Horizon, Wish
from app.rules.diary.finding_places import Place, places_in_sessions


def series(
    wish: Wish, number: int, days_between: int, horizon: Horizon, now: datetime, zone: ZoneInfo
) -> tuple[Place, ...]:
    """The soonest ``number`` free places, each at least so many days after the one before.

    With 0 days two may lie on one day. Fewer come back when the diary has no more.
    The soonest choice at each step leaves the most room for the steps after it.
    """
    found: list[Place] = []
    while len(found) < number:
        place = next(iter(places_in_sessions(wish, horizon, now, zone, most=1)), None)
        if place is None or place.session_id is None:
            break
        found.append(place)
        horizon = horizon.with_booking(place.session_id, wish.student_id, place.bike_id)
        day = day_of(place.span.starts_at, zone)
        wish = replace(wish, first_day=day + timedelta(days=days_between))
    return tuple(found)
