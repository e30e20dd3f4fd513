"""How dates and times are written for people. One way, everywhere."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def date_words(day: date) -> str:
    """A date as ``Thu 3 Dec 2026``, whatever the server's language is set to."""
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"


def time_words(moment: datetime, zone: ZoneInfo) -> str:
    """The time of an aware instant in the school's time zone, as ``14:30``."""
    return f"{moment.astimezone(zone):%H:%M}"


def moment_words(moment: datetime, zone: ZoneInfo) -> str:
    """An aware instant in the school's time zone, as ``Thu 3 Dec 2026, 14:30``."""
    return f"{date_words(moment.astimezone(zone).date())}, {time_words(moment, zone)}"


def count_words(number: int, one: str, many: str | None = None) -> str:
    """``1 ride``, ``4 rides``: a number with its noun."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def duration_words(minutes: int) -> str:
    """``4 hours``, ``90 minutes``: a time in minutes, in hours where they are whole."""
    hours, rest = divmod(minutes, 60)
    return count_words(minutes, "minute") if rest else count_words(hours, "hour")
