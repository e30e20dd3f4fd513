"""Sessions that could be made: where an instructor, a yard, a bike and the student are free."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.clock import day_of
from app.rules.diary.finding_day import DaySearch, Stage
from app.rules.diary.finding_facts import Horizon, Wish
from app.rules.diary.finding_places import Place
from app.rules.people.ages import needs_guardian


@dataclass(frozen=True, slots=True)
class DayLook:
    """The openings of one day in order of time, and how far the search came.

    ``refused`` is what a rule said where nothing else was in the way.
    """

    day: date
    openings: tuple[Place, ...]
    stage: Stage
    refused: str = ""


def openings(wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo) -> Iterator[Place]:
    """The openings for a wish in order of time, looked for one day after the other."""
    for day in days_wished(wish, now, zone):
        yield from look_at_day(wish, horizon, day, now, zone).openings


def days_wished(wish: Wish, now: datetime, zone: ZoneInfo) -> Iterator[date]:
    """The days on which the student can come, from today on."""
    day = max(wish.first_day, day_of(now, zone))
    while day <= wish.last_day:
        if day.weekday() in wish.weekdays:
            yield day
        day += timedelta(days=1)


def look_at_day(wish: Wish, horizon: Horizon, day: date, now: datetime, zone: ZoneInfo) -> DayLook:
    """Look through one day.

    An opening begins at the first quarter of an hour of each gap in which an instructor
    could give the session in a yard. Where several could at the same moment, it is the
    one who needs least: a yard for all that must be practised, authorisations on file,
    no drive to another yard.
    """
    if wish.session_id is not None:
        return DayLook(day, (), Stage.REFUSED)
    if needs_guardian(wish.rider.born, day) and not wish.rider.has_guardian:
        return DayLook(day, (), Stage.GUARDIAN)
    search = DaySearch(wish, horizon, day, now, zone)
    return DayLook(day, search.found(), search.furthest, search.refused)
