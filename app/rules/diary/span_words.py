"""How a time is said on one day: over midnight, and over a change of the clock."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.clock import day_of
from app.rules.diary.facts import Span
from app.rules.words import count_words, date_words, time_words


def on_day(span: Span, day: date, zone: ZoneInfo) -> str:
    """``10:20 to 11:45``; ``from Fri 23:00 to 01:00`` and ``23:00 to Sat 01:00`` over midnight."""
    began = _day(span.starts_at, day, zone)
    # One that ends at midnight ends on its own day.
    ends = _day(span.ends_at - timedelta(microseconds=1), day, zone)
    starts_at, ends_at = _clock(span.starts_at, zone), _clock(span.ends_at, zone)
    return (
        f"{f'from {began} ' if began else ''}{starts_at} to {f'{ends} ' if ends else ''}{ends_at}"
    )


def _day(moment: datetime, day: date, zone: ZoneInfo) -> str:
    there = day_of(moment, zone)
    return "" if there == day else date_words(there)[:3]


def _clock(moment: datetime, zone: ZoneInfo) -> str:
    again = moment.astimezone(zone).fold
    return f"{time_words(moment, zone)}{' again' if again else ''}"


def over_change(span: Span, zone: ZoneInfo) -> str | None:
    """``The clock changes: it lasts 1 hour 30 minutes``; None when the clock does not change."""
    begins, ends = span.starts_at.astimezone(zone), span.ends_at.astimezone(zone)
    if begins.utcoffset() == ends.utcoffset():
        return None
    return f"the clock changes: it lasts {length_words(span.ends_at - span.starts_at)}"


def length_words(length: timedelta) -> str:
    """``1 hour 30 minutes``; whole minutes."""
    hours, minutes = divmod(int(length.total_seconds()) // 60, 60)
    said = [count_words(hours, "hour")] if hours else []
    if minutes or not hours:
        said.append(count_words(minutes, "minute"))
    return " ".join(said)
