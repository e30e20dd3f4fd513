"""Until when an offered place is held."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.clock import nearest_moment

MORNING, EVENING = time(10), time(20)
"""Nobody is asked to answer between these, by the school's clock. Our own choice."""


def hold_end(now: datetime, hold: timedelta, starts_at: datetime, zone: ZoneInfo) -> datetime:
    """The moment up to which a place offered at ``now`` is held, never past the session's start.

    An end in the evening or at night is put off until ten the next morning: who is
    asleep cannot answer, and a session is offered to the same request once.
    """
    end = now + hold
    local = end.astimezone(zone)
    if local.time() >= EVENING:
        end = nearest_moment(local.date() + timedelta(days=1), MORNING, zone)
    elif local.time() < MORNING:
        end = nearest_moment(local.date(), MORNING, zone)
    return min(end, starts_at)
