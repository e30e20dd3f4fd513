"""Until when a place is held: for whoever asked at the desk, and for whoever it is offered to."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.clock import nearest_moment
from app.rules.refusal import Reason

MORNING, EVENING = time(10), time(20)
"""Nobody is asked to answer between these, by the school's clock. Our own choice."""


def why_not_hold_longer(starts_at: datetime, now: datetime) -> tuple[Reason, ...]:
    """Why a place in a session that starts then cannot be held at ``now``."""
    if starts_at <= now:
        return (Reason("This session has begun. Book the place, or let it be."),)
    return ()


def desk_hold_end(now: datetime, hold: timedelta, starts_at: datetime) -> datetime:
    """The moment up to which the desk holds a place, never past the session's start.

    Whoever asked for it is awake, so an end at night is not put off.
    """
    return min(now + hold, starts_at)


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
