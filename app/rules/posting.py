"""When an email that could not be sent is tried again, and where one stands, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

FIRST_PAUSE = timedelta(minutes=5)
LONGEST_PAUSE = timedelta(hours=4)
GIVEN_UP_AFTER = timedelta(days=5)
"""RFC 5321, 4.5.4.1: a sender goes on for at least four to five days."""

IN_HAND = timedelta(minutes=15)
"""So long a sender may have a message in its hands; a server may take ten minutes over one."""


class Standing(StrEnum):
    """Where a message stands in the outbox."""

    WAITING = "waiting"
    SENDING = "sending"
    UNKNOWN = "unknown"
    SENT = "sent"
    REFUSED = "refused"
    DROPPED = "dropped"


STANDING_WORDS = {
    Standing.WAITING: "waits",
    Standing.SENDING: "being sent",
    Standing.UNKNOWN: "may or may not have left",
    Standing.SENT: "sent",
    Standing.REFUSED: "refused",
    Standing.DROPPED: "not sent",
}

AGAIN = frozenset({Standing.UNKNOWN, Standing.REFUSED})
"""Standings in which only a person can decide whether it is sent again."""


@dataclass(frozen=True, slots=True)
class Marks:
    """The moments that are noted on a message, each when it happened. ``trouble``: a line broke."""

    sent_at: datetime | None
    dropped_at: datetime | None
    refused_at: datetime | None
    claimed_at: datetime | None
    trouble: bool


def standing(marks: Marks, now: datetime) -> Standing:
    """Where a message stands at a moment.

    One that was claimed and never reported is unknown once no sender can still be at it.
    """
    if marks.dropped_at is not None:
        return Standing.DROPPED
    if marks.sent_at is not None:
        return Standing.SENT
    if marks.refused_at is not None:
        return Standing.REFUSED
    if marks.claimed_at is None:
        return Standing.WAITING
    lost = marks.trouble or marks.claimed_at <= now - IN_HAND
    return Standing.UNKNOWN if lost else Standing.SENDING


def next_try(made_at: datetime, tries: int, now: datetime) -> datetime | None:
    """When to try again after ``tries`` refusals for now; None when it is given up.

    The pauses double from five minutes to four hours.
    """
    if now >= made_at + GIVEN_UP_AFTER:
        return None
    doublings = max(0, min(tries - 1, 10))
    return now + min(FIRST_PAUSE * (1 << doublings), LONGEST_PAUSE)
