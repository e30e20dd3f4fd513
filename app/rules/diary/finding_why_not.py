"""What stood in the way of a place, when none was found: counted, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from app.rules.diary.finding_day import USUAL_MINUTES, Stage
from app.rules.diary.finding_facts import Horizon, Listed, Wish
from app.rules.diary.finding_openings import DayLook
from app.rules.diary.finding_places import (
    Obstacle,
    candidates,
    look,
    proposals,
    refusals,
    state_of,
)
from app.rules.diary.words import KINDS
from app.rules.people.days import DAYS
from app.rules.words import count_words, date_words

SHOWN_DAYS = 3
"""So many days are named one by one; the others are counted."""


Met = Mapping[Obstacle, Sequence[Listed]]
"""The sessions of a kind by the first thing that stands in the way of a place in them."""


def obstacles(wish: Wish, horizon: Horizon, now: datetime, zone: ZoneInfo) -> Met:
    """What stands in the way of a place in each session of the kind that is wished for."""
    met: dict[Obstacle, list[Listed]] = {}
    for listed in candidates(wish, horizon):
        obstacle = look(wish, horizon, listed, now, zone)
        if isinstance(obstacle, Obstacle):
            met.setdefault(obstacle, []).append(listed)
    return met


def why_not(
    wish: Wish, horizon: Horizon, met: Met, looks: Sequence[DayLook], now: datetime, zone: ZoneInfo
) -> tuple[str, ...]:
    """What stood in the way of a place, first in sessions and then on the days looked through."""
    return (
        *_of_sessions(wish, horizon, met, now, zone),
        *_of_days(wish, horizon, looks),
    )


def _of_sessions(
    wish: Wish, horizon: Horizon, met: Met, now: datetime, zone: ZoneInfo
) -> Iterator[str]:
    if not met:
        yield f"No session for this is in the diary: {KINDS[wish.kind]}."
    for obstacle in Obstacle:
        if obstacle is Obstacle.REFUSED and obstacle in met:
            yield _refused(wish, horizon, met[obstacle], now, zone)
        elif obstacle in met:
            yield _met(wish, obstacle, met[obstacle])


def _met(wish: Wish, obstacle: Obstacle, met: Sequence[Listed]) -> str:
    """One sentence for one obstacle, with how many sessions it stood before."""
    name, category = wish.rider.name, wish.rider.category
    are = count_words(len(met), "session is", "sessions are")
    told: Mapping[Obstacle, str] = {
        Obstacle.OTHER_TIME: f"{are} at another time than asked.",
        Obstacle.TOO_SHORT: f"{are} shorter than {wish.minutes} minutes.",
        Obstacle.OTHER_YARD: f"{are} in another yard.",
        Obstacle.OTHER_INSTRUCTOR: f"{are} with another instructor.",
        Obstacle.NOT_RIDEABLE: f"{are} where not all that is flagged can be ridden.",
        Obstacle.GUARDIAN: f"{are} closed to {name} until a guardian is on file.",
        Obstacle.STUDENT_BUSY: f"{are} at a time at which {name} has a place already.",
        Obstacle.FULL: f"{are} full.",
        Obstacle.NO_BIKE: f"No bike for category {category} is free {_on(one.day for one in met)}.",
    }
    return told[obstacle]


def _refused(
    wish: Wish, horizon: Horizon, met: Sequence[Listed], now: datetime, zone: ZoneInfo
) -> str:
    """The words of the rule itself, where nothing else was in the way."""
    one = met[0]
    bike = proposals(wish, horizon, one.span)[0]
    said = refusals(wish, horizon, state_of(horizon, one, zone), one.id, bike, now, zone)
    return f"{count_words(len(met), 'session')}: {said[0].sentence}"


def _of_days(wish: Wish, horizon: Horizon, looks: Sequence[DayLook]) -> Iterator[str]:
    """Why no session can be made, each day by the furthest that the search came on it."""
    if wish.session_id is not None:
        return
    if not looks:
        yield "None of the days asked for is still to come."
    for stage in Stage:
        days = [one.day for one in looks if one.stage is stage]
        weekdays = sorted({day.weekday() for day in days if _never(wish, horizon, stage, day)})
        yield from (_never_words(wish, horizon, stage, weekday) for weekday in weekdays)
        others = [day for day in days if day.weekday() not in weekdays]
        if stage is Stage.REFUSED:
            yield from list(dict.fromkeys(one.refused for one in looks if one.refused))[:SHOWN_DAYS]
        elif stage is Stage.GUARDIAN and days:
            yield f"{wish.rider.name} is under 18, so a guardian must be on file first."
        elif others and stage is not Stage.FREE:
            yield f"{_missing(wish, horizon, stage)} {_on(others)}."


def _never(wish: Wish, horizon: Horizon, stage: Stage, day: date) -> bool:
    """Whether the same weekday is never any better, by the hours of every week."""
    hours = horizon.calendar.hours
    if stage is Stage.NOBODY_WORKS and wish.instructor_id is not None:
        who = horizon.instructors[wish.instructor_id].state
        hours = horizon.calendar.of(who).hours
    elif stage is not Stage.CLOSED:
        return False
    return bool(hours) and all(each.weekday != day.weekday() for each in hours)


def _never_words(wish: Wish, horizon: Horizon, stage: Stage, weekday: int) -> str:
    if stage is Stage.NOBODY_WORKS:
        return f"{_who(wish, horizon)} works on no {DAYS[weekday]}."
    return f"The school is closed on every {DAYS[weekday]}."


def _missing(wish: Wish, horizon: Horizon, stage: Stage) -> str:
    name, category = wish.rider.name, wish.rider.category
    minutes = wish.minutes or USUAL_MINUTES
    told: Mapping[Stage, str] = {
        Stage.CLOSED: "The school or the yard is closed",
        Stage.NOBODY_WORKS: f"{_who(wish, horizon)} works for {minutes} minutes at that time",
        Stage.ALL_BUSY: "Every instructor who works then is busy",
        Stage.NO_ROOM: "No yard has room for one more session",
        Stage.STUDENT_BUSY: f"{name} has a place already when an instructor is free",
        Stage.NO_BIKE: f"No bike for category {category} is free when an instructor is",
    }
    if stage is Stage.NOBODY_WORKS and wish.instructor_id is not None:
        return f"{_who(wish, horizon)} does not work for {minutes} minutes at that time"
    if stage is Stage.ALL_BUSY and wish.instructor_id is not None:
        return f"{_who(wish, horizon)} is busy"
    return told[stage]


def _who(wish: Wish, horizon: Horizon) -> str:
    if wish.instructor_id is None:
        return "Nobody"
    return horizon.instructors[wish.instructor_id].state.name


def _on(days: Iterable[date]) -> str:
    """``on Tue 1 Dec 2026 and Wed 2 Dec 2026``; beyond a few days the others are counted."""
    known = sorted(set(days))
    said = [date_words(day) for day in known[:SHOWN_DAYS]]
    if len(known) > SHOWN_DAYS:
        said.append(count_words(len(known) - SHOWN_DAYS, "more day"))
    return f"on {', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else f"on {said[0]}"
