"""The short code by which an instructor takes over a tablet that a colleague signed in.

A code is short, so it opens little and not for long: the instructor's part
alone, on a browser where someone signed in by password on the same day, and
only a few tries are free. The password stays out of it: a code that takes no
more tries never keeps its owner from signing in.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from app.rules.accounts.roles import Role
from app.rules.refusal import Reason, Refused

SHORTEST, LONGEST = 4, 8

TABLET_TRIES, TABLET_WINDOW = 5, timedelta(minutes=15)
"""Wrong codes that one tablet may try in a while. This project's choice."""

PERSON_TRIES, PERSON_WINDOW = 10, timedelta(days=1)
"""Wrong codes that may be tried for one person in a day, on whatever tablet.

NIST SP 800-63B-4 section 3.2.10 lets an activation secret fail ten times at most.
"""

SEEN_EVERY = timedelta(seconds=20)
"""How exactly it is noted when a browser was last used, so that not every press is a write."""

BY_CODE = frozenset({Role.INSTRUCTOR})
"""All that a code can reach, whatever else its owner does at the school."""


def check_code(code: str) -> None:
    """Refuse a code that is no code, or that anyone would guess first."""
    if not (code.isascii() and code.isdecimal() and SHORTEST <= len(code) <= LONGEST):
        raise Refused(Reason(f"Use {SHORTEST} to {LONGEST} digits.", "code"))
    if _is_a_run(code):
        raise Refused(Reason("Anyone would try this one first. Mix the digits.", "code"))


def _is_a_run(code: str) -> bool:
    """Whether each digit follows the one before by the same step of -1, 0 or 1: 1111, 4321."""
    steps = {int(after) - int(before) for before, after in pairwise(code)}
    return len(steps) == 1 and abs(steps.pop()) <= 1


def why_no_try(on_tablet: int, for_person: int) -> str | None:
    """Why no code is taken after so many wrong ones in the two windows; None while one is."""
    if on_tablet >= TABLET_TRIES:
        minutes = int(TABLET_WINDOW.total_seconds() // 60)
        return f"Too many wrong codes on this tablet. Use your password, or wait {minutes} minutes."
    if for_person >= PERSON_TRIES:
        return "Too many wrong codes for this person today. Sign in with the password."
    return None


@dataclass(frozen=True, slots=True)
class Presence:
    """Who is at a browser: by password since ``began_at``, or by code after that."""

    roles: frozenset[Role]
    by_code: bool
    began_at: datetime
    seen_at: datetime
    locked_at: datetime | None


def code_opens(began_at: datetime, now: datetime, zone: ZoneInfo) -> bool:
    """Whether a code is taken: someone signed in here by password on the same day."""
    return _day(began_at, zone) == _day(now, zone)


def is_locked(here: Presence, now: datetime, zone: ZoneInfo, lock_minutes: int) -> bool:
    """Whether the browser asks for a code or password before anything else.

    It does when it was locked by hand, when an instructor left it alone for
    ``lock_minutes`` (0: never), and on the day after for whoever came by code.
    """
    if here.locked_at is not None:
        return True
    if here.by_code and not code_opens(here.began_at, now, zone):
        return True
    if Role.INSTRUCTOR not in here.roles or lock_minutes == 0:
        return False
    return now - here.seen_at > timedelta(minutes=lock_minutes) + SEEN_EVERY


def _day(moment: datetime, zone: ZoneInfo) -> date:
    return moment.astimezone(zone).date()
