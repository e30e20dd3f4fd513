"""What would open a place: one condition at a time is let go, and the search is made again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import islice
from zoneinfo import ZoneInfo

from app.rules.diary.bikes import suits
from app.rules.diary.clock import day_of
from app.rules.diary.finding_day import USUAL_MINUTES
from app.rules.diary.finding_facts import EVERY_DAY, Horizon, Wish
from app.rules.diary.finding_openings import openings
from app.rules.diary.finding_places import Place, places_in_sessions
from app.rules.people.ages import needs_guardian
from app.rules.people.days import DAYS
from app.rules.words import count_words, moment_words

SHORT_MINUTES = 60
"""A shorter session than was asked for is tried with this length. Our own choice."""

MOST_BIKES = 4
"""So many bikes that are off the road are tried, the best first. Our own choice."""


@dataclass(frozen=True, slots=True)
class _Change:
    """One condition let go: what is said of it, and the wish and diary without it."""

    words: str
    wish: Wish
    horizon: Horizon


def unlocks(
    wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo, *, bikes: bool = True
) -> tuple[str, ...]:
    """A sentence for each single change that opens a place, with the soonest that it opens.

    Other bikes are left out of it where ``bikes`` says that no bike was missing.
    """
    return tuple(
        f"{change.words}: {_said(place, zone)}"
        for change in _changes(wish, horizon, bikes)
        if (place := soonest(change.wish, change.horizon, now, zone))
    ) + tuple(_guardian(wish, horizon, now, zone))


def soonest(wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo) -> Place | None:
    """The first place of all for a wish; a session that there is comes before an opening."""
    there = places_in_sessions(wish, horizon, now, zone, most=1)
    if there:
        # An opening counts only if it is sooner, so that later days need no look.
        wish = replace(wish, last_day=min(wish.last_day, day_of(there[0].span.starts_at, zone)))
    both = [*there, *islice(openings(wish, horizon, now, zone), 1)]
    return min(both, key=lambda one: (one.span.starts_at, one.is_opening), default=None)


def _said(place: Place, zone: ZoneInfo) -> str:
    when = moment_words(place.span.starts_at, zone)
    return f"{when}, {place.yard} with {place.instructor}."


def _changes(wish: Wish, horizon: Horizon, bikes: bool) -> Iterator[_Change]:
    yield from _of_times(wish, horizon)
    yield from _of_places(wish, horizon)
    if bikes and not wish.own_bike:
        yield from _of_bikes(wish, horizon)


def _of_times(wish: Wish, horizon: Horizon) -> Iterator[_Change]:
    for day in sorted(EVERY_DAY - wish.weekdays):
        words = f"If {DAYS[day]}s were possible"
        yield _Change(words, replace(wish, weekdays=frozenset({day})), horizon)
    if wish.begins or wish.ends:
        yield _Change("At any time of day", replace(wish, begins=None, ends=None), horizon)
    if (wish.minutes or USUAL_MINUTES) > SHORT_MINUTES:
        words = f"If {SHORT_MINUTES} minutes were enough"
        yield _Change(words, replace(wish, minutes=SHORT_MINUTES), horizon)
    if horizon.last_day > wish.last_day:
        after = wish.last_day + timedelta(days=1)
        later = replace(wish, first_day=after, last_day=horizon.last_day)
        yield _Change("If it could be later", later, horizon)


def _of_places(wish: Wish, horizon: Horizon) -> Iterator[_Change]:
    if wish.yard_id is not None:
        words = f"Not only in {horizon.yards[wish.yard_id].state.name}"
        yield _Change(words, replace(wish, yard_id=None), horizon)
    if wish.instructor_id is not None:
        words = f"Not only with {horizon.instructors[wish.instructor_id].state.name}"
        yield _Change(words, replace(wish, instructor_id=None), horizon)
    if wish.needs and wish.only_rideable:
        words = "In a yard where not all that is flagged can be ridden"
        yield _Change(words, replace(wish, only_rideable=False), horizon)


def _of_bikes(wish: Wish, horizon: Horizon) -> Iterator[_Change]:
    off = [
        bike
        for bike in horizon.bikes.values()
        if bike.state.off_road_reason is not None
        and suits(bike.state.category, wish.rider.category)
    ]
    for bike in off[:MOST_BIKES]:
        words = f"If {bike.state.label} were back on the road"
        yield _Change(words, wish, horizon.with_bike_back(bike.id))
    yield _Change("On their own bike", replace(wish, own_bike=True), horizon)


def _guardian(wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo) -> Iterator[str]:
    if wish.rider.has_guardian or not needs_guardian(wish.rider.born, wish.first_day):
        return
    guarded = replace(wish, rider=replace(wish.rider, has_guardian=True))
    place = soonest(guarded, horizon, now, zone)
    if place is None:
        return
    number = len(places_in_sessions(guarded, horizon, now, zone))
    opens = count_words(number, "place in a session", "places in sessions")
    yield f"A guardian on file would open {opens if number else 'an opening'}. The soonest: " + (
        _said(place, zone)
    )
