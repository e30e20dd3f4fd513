"""School time: from what a person writes to a moment, over both changes of the clock."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.rules.refusal import Reason, Refused
from app.rules.words import date_words


def moment_of(day: date, clock: time, zone: ZoneInfo, field: str = "") -> datetime:
    """The moment (UTC) at which the school's clock shows this time on this day.

    A time that comes twice, when the clock goes back, means the first of the two.
    Raises Refused, at ``field``, for a time that the clock skips.
    """
    local = datetime.combine(day, clock, zone).replace(fold=0)
    moment = local.astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) != local.replace(tzinfo=None):
        raise Refused(
            Reason(
                f"The clock goes forward on {date_words(day)} and skips {clock:%H:%M}. "
                "Choose another time.",
                field,
            )
        )
    return moment


def nearest_moment(day: date, clock: time, zone: ZoneInfo, fold: int = 0) -> datetime:
    """The same for hours that hold each week: a time that the clock skips is when it skips.

    ``fold`` 1 takes the second of two, where the clock shows a time twice.
    """
    local = datetime.combine(day, clock, zone)
    earlier, later = sorted(local.replace(fold=n).astimezone(UTC) for n in (0, 1))
    if earlier.astimezone(zone).replace(tzinfo=None) == local.replace(tzinfo=None):
        return later if fold else earlier
    # In a gap the clock jumps between the two moments, on a whole minute.
    after = later.astimezone(zone).utcoffset()
    while earlier.astimezone(zone).utcoffset() != after:
        earlier += timedelta(minutes=1)
    return earlier


def day_of(moment: datetime, zone: ZoneInfo) -> date:
    """The date at the school at a moment."""
    return moment.astimezone(zone).date()


def span_of(day: date, days: int, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The moments at which ``days`` whole days from ``day`` on begin and end."""
    begins = datetime.combine(day, time.min, zone)
    ends = datetime.combine(day + timedelta(days=days), time.min, zone)
    return begins.astimezone(UTC), ends.astimezone(UTC)


def monday_of(day: date) -> date:
    """The Monday of the week that a day lies in."""
    return day - timedelta(days=day.weekday())
