"""The demo school's diary: which sessions there are, when, where and with whom."""

from __future__ import annotations

from collections.abc import Container, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from app.rules.diary.values import SessionKind, Surface

PAST_DAYS = 56
COMING_DAYS = 14
_SLOTS = (time(9, 0), time(11, 30), time(14, 30))
_LENGTH = timedelta(hours=2)

# Slot, instructor and yard, by number, for one day. No two stand in one yard, or
# with one instructor, at one time. Monday is the day off.
_WEEK: dict[int, tuple[tuple[int, int, int], ...]] = {
    1: ((0, 0, 0), (1, 1, 1)),
    2: ((0, 2, 1), (2, 0, 0)),
    3: ((0, 1, 0), (1, 2, 0)),
    4: ((1, 0, 1), (2, 1, 0)),
    5: ((0, 0, 0), (0, 2, 1), (1, 1, 0)),
    6: ((1, 2, 0),),
}
_TODAY = ((0, 0, 0), (0, 1, 1), (1, 2, 0), (2, 0, 0))


@dataclass(frozen=True, slots=True)
class PlannedSession:
    """One session. ``day`` counts from today, which is 0; instructor and yard are numbers."""

    id: int
    day: int
    starts_at: datetime
    ends_at: datetime
    instructor: int
    yard: int
    kind: SessionKind
    surface: Surface | None
    windy: bool | None


def plan(
    rng: Random, today: date, zone: ZoneInfo, holidays: Container[date] = ()
) -> list[PlannedSession]:
    """Eight weeks of sessions up to today, today's, and those of the next two weeks, in order.

    There is always something to see today, and nothing on any other holiday.
    """
    sessions: list[PlannedSession] = []
    for day in range(-PAST_DAYS, COMING_DAYS + 1):
        on = today + timedelta(days=day)
        weather = _weather(rng)
        for slot, instructor, yard in () if day and on in holidays else _of_day(day, on):
            starts = datetime.combine(on, _SLOTS[slot], zone).astimezone(UTC)
            surface, windy = weather if day < 0 else (None, None)
            kind = SessionKind.MODULE_1
            number = len(sessions) + 1
            sessions.append(
                PlannedSession(
                    number, day, starts, starts + _LENGTH, instructor, yard, kind, surface, windy
                )
            )
    return sessions


def _of_day(day: int, on: date) -> Iterator[tuple[int, int, int]]:
    yield from _TODAY if day == 0 else _WEEK.get(on.weekday(), ())


def _weather(rng: Random) -> tuple[Surface, bool]:
    surface = rng.choices((Surface.DRY, Surface.DAMP, Surface.WET), (11, 4, 5))[0]
    return surface, rng.random() < 0.2
