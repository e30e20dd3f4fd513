"""Find a place: the soonest places for a student, in order, or why there is none.

Two kinds are looked for: a free place in a session that there is, and an opening, where a
session could be made. Each is accepted by the very rules that the write asks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.clock import span_of
from app.rules.diary.finding_day import Stage
from app.rules.diary.finding_facts import Horizon, Wish
from app.rules.diary.finding_openings import DayLook, days_wished, look_at_day
from app.rules.diary.finding_places import Obstacle, Place, each_place
from app.rules.diary.finding_reasons import with_reasons
from app.rules.diary.finding_unlocks import unlocks
from app.rules.diary.finding_why_not import obstacles, why_not

MOST_IN_SESSIONS = 8
MOST_OPENINGS = 6
"""So many of each kind are shown. Our own choice."""

LATER_WITH_LACKS = timedelta(days=7)
"""A place where not all can be practised counts as if it came so much later. Our own choice."""

LATER_TO_MAKE = timedelta(days=1)
"""So does a session that has to be made: one that there is needs a rider, this one needs an
instructor too. Our own choice."""


@dataclass(frozen=True, slots=True)
class Found:
    """The places in order, the best first, with their reasons.

    ``why_not`` and ``unlocks`` are said when there is nothing at all.
    """

    places: tuple[Place, ...]
    why_not: tuple[str, ...] = ()
    unlocks: tuple[str, ...] = ()


def find(
    wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo, *, explain: bool = True
) -> Found:
    """The soonest places for a wish, or, with ``explain``, what is in the way and would help.

    A place where something cannot be ridden that must be practised stands as far down as one
    that comes ``LATER_WITH_LACKS``, an opening as one that comes ``LATER_TO_MAKE``.
    """
    looks: list[DayLook] = []
    best = _best(([place] for place in each_place(wish, horizon, now, zone)), MOST_IN_SESSIONS)
    best += _best(_by_day(wish, horizon, now, zone, looks), MOST_OPENINGS)
    if best:
        return Found(with_reasons(sorted(best, key=_rank), wish, horizon, zone))
    return _nothing(wish, horizon, looks, now, zone) if explain else Found(())


def _nothing(
    wish: Wish, horizon: Horizon, looks: Sequence[DayLook], now: datetime, zone: ZoneInfo
) -> Found:
    met = obstacles(wish, horizon, now, zone)
    # Another bike can help only where a bike was what was missing.
    bikes = any(one in met for one in (Obstacle.NO_BIKE, Obstacle.REFUSED)) or any(
        look.stage >= Stage.NO_BIKE for look in looks
    )
    said = why_not(wish, horizon, met, looks, now, zone)
    return Found((), said, unlocks(wish, horizon, now, zone, bikes=bikes))


def is_settled(found: Found, last_day: date, zone: ZoneInfo) -> bool:
    """Whether nothing that comes after a day could change what was found up to it."""
    _, ends = span_of(last_day, 1, zone)
    openings = sum(place.is_opening for place in found.places)
    most = (len(found.places) - openings, openings) == (MOST_IN_SESSIONS, MOST_OPENINGS)
    return most and all(_rank(place) <= ends for place in found.places)


def _by_day(
    wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo, looks: list[DayLook]
) -> Iterator[Sequence[Place]]:
    """The openings of one day after the other; what was seen is kept for the case of none."""
    for day in days_wished(wish, now, zone):
        looks.append(look_at_day(wish, horizon, day, now, zone))
        yield _apart(looks[-1].openings)


def _apart(openings: Sequence[Place]) -> list[Place]:
    """The openings of a day without those that overlap one before them that is no worse."""
    kept: list[Place] = []
    for one in openings:
        if not any(_as_good(other, one) for other in kept):
            kept.append(one)
    return kept


def _as_good(earlier: Place, later: Place) -> bool:
    return earlier.span.overlaps(later.span) and len(earlier.lacks) <= len(later.lacks)


def _best(found: Iterable[Sequence[Place]], most: int) -> list[Place]:
    """The best of what comes in order of time, which ends once nothing better can come."""
    best: list[Place] = []
    for places in found:
        if len(best) == most and places and _rank(best[-1]) <= places[0].span.starts_at:
            break
        best = sorted([*best, *places], key=_rank)[:most]
    return best


def _rank(place: Place) -> datetime:
    lacks = LATER_WITH_LACKS if place.lacks else timedelta()
    return place.span.starts_at + lacks + (LATER_TO_MAKE if place.is_opening else timedelta())
