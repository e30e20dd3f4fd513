"""When the clock of a time zone changes, for calendars that are told so in full."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

_STEP = timedelta(days=1)
"""No zone changes its clock twice in a day (common practice, no source)."""

_SECOND = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class ClockTime:
    """How a zone's clock stands from a moment on: its offset from UTC, its name, and whether
    it is summer time."""

    offset: timedelta
    name: str
    daylight: bool


@dataclass(frozen=True, slots=True)
class ZoneChange:
    """From ``at`` (UTC) on the clock stands as ``after``; until then by ``before`` from UTC."""

    at: datetime
    before: timedelta
    after: ClockTime

    @property
    def wall(self) -> datetime:
        """What the old clock shows at the change, as RFC 5545, section 3.6.5, wants it told."""
        return (self.at + self.before).replace(tzinfo=None)


@lru_cache(maxsize=32)
def zone_changes(zone: ZoneInfo, first_year: int, last_year: int) -> tuple[ZoneChange, ...]:
    """How the clock stands as the first year begins, then each change to the end of the last.

    The first entry is no change: it says the offset that holds until one comes.
    """
    at = datetime.combine(date(first_year, 1, 1), time.min, UTC)
    end = datetime.combine(date(last_year + 1, 1, 1), time.min, UTC)
    begins = _clock(at, zone)
    found = [ZoneChange(at, begins.offset, begins)]
    while at < end:
        if _clock(at + _STEP, zone) != _clock(at, zone):
            moment = _between(at, at + _STEP, zone)
            found.append(ZoneChange(moment, _clock(at, zone).offset, _clock(moment, zone)))
        at += _STEP
    return tuple(found)


def _clock(at: datetime, zone: ZoneInfo) -> ClockTime:
    local = at.astimezone(zone)
    offset, summer = local.utcoffset() or timedelta(), local.dst() or timedelta()
    return ClockTime(offset, local.tzname() or "", summer > timedelta())


def _between(low: datetime, high: datetime, zone: ZoneInfo) -> datetime:
    """The first second at which the clock stands as it does at ``high``, by halving."""
    after = _clock(high, zone)
    while high - low > _SECOND:
        middle = (low + (high - low) / 2).replace(microsecond=0)
        low, high = (low, middle) if _clock(middle, zone) == after else (middle, high)
    return high
