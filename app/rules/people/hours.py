"""Hours of the week as a person types them: ``09:00 to 12:30, 13:30 to 17:00``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import time
from itertools import pairwise
from zlib import crc32

from app.rules.people.days import DAYS, WeeklyHours
from app.rules.refusal import Reason, Refused

EXAMPLE = "09:00 to 17:00"
MOST_TYPED = 60
"""Characters for one day, far more than anybody's hours need."""

_BREAK = re.compile(r"\s*(?:,|;|\band\b|&)\s*")
_TO = re.compile(r"\s*(?:-|\u2013|\u2014|\bto\b|\buntil\b)\s*")
_CLOCK = re.compile(r"([0-9]{1,2})(?:[:.]([0-9]{2}))?|([0-9]{1,2})([0-9]{2})")


def hours_typed(typed: Mapping[int, str], *, most: int | None = None) -> tuple[WeeklyHours, ...]:
    """The hours that were typed for each weekday, Monday first; nothing for a day of rest.

    ``most`` is how many times of one day are allowed. Raises Refused with a sentence for
    each day (field ``day_0`` to ``day_6``) that cannot be read, ends before it begins or
    has two times that overlap.
    """
    hours: list[WeeklyHours] = []
    reasons: list[Reason] = []
    for weekday, text in sorted(typed.items()):
        try:
            of_day = _of_day(weekday, text.strip().lower())
        except ValueError as error:
            reasons.append(Reason(str(error), f"day_{weekday}"))
            continue
        if most is not None and len(of_day) > most:
            reasons.append(Reason(f"Write one time only, as {EXAMPLE}.", f"day_{weekday}"))
        hours.extend(of_day)
    if reasons:
        raise Refused(*reasons)
    return tuple(hours)


def _of_day(weekday: int, text: str) -> list[WeeklyHours]:
    if not text:
        return []
    found = sorted((_piece(weekday, piece) for piece in _BREAK.split(text)), key=_order)
    for one, other in pairwise(found):
        if other.begins < one.ends:
            raise ValueError(f"{one.words} and {other.words} overlap.")
    return found


def _order(hours: WeeklyHours) -> time:
    return hours.begins


def _piece(weekday: int, text: str) -> WeeklyHours:
    ends = _TO.split(text)
    if len(ends) != 2:
        raise ValueError(f"Write the hours of {DAYS[weekday]} as {EXAMPLE}.")
    hours = WeeklyHours(weekday, *(_clock(each) for each in ends))
    if hours.ends <= hours.begins:
        raise ValueError(f"{hours.words} does not end after it begins.")
    return hours


def _clock(text: str) -> time:
    found = _CLOCK.fullmatch(text)
    if found is None:
        raise ValueError(f"“{text}” is no time of day. Write the hours as {EXAMPLE}.")
    hour, minute = found[1] or found[3], found[2] or found[4] or "0"
    try:
        return time(int(hour), int(minute))
    except ValueError:
        raise ValueError(f"There is no time {hour}:{int(minute):02}.") from None


def hours_words(hours: Iterable[WeeklyHours], weekday: int) -> str:
    """The hours of one weekday as they are typed; empty for a day of rest."""
    return ", ".join(each.words for each in hours if each.weekday == weekday)


def week_words(hours: Iterable[WeeklyHours]) -> Iterator[tuple[str, str]]:
    """Each day of the week by name, with its hours."""
    hours = tuple(hours)
    return ((name, hours_words(hours, weekday)) for weekday, name in enumerate(DAYS))


def hours_version(hours: Iterable[WeeklyHours]) -> int:
    """A number that differs when the hours do, for forms to say what they started from."""
    return crc32(repr(sorted((h.weekday, h.begins, h.ends) for h in hours)).encode())
