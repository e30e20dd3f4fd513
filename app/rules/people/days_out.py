"""What must be so about days out before they are kept: a closure, or an instructor's days off."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from app.rules.people.days import DaysOut
from app.rules.refusal import Reason
from app.rules.words import date_words

LONGEST = timedelta(days=366)
FURTHEST = timedelta(days=731)
"""Our own bounds: more is taken for a slip of the pen."""

MOST_REASON = 100


def why_not_out(out: DaysOut, today: date, *, needs_reason: bool) -> tuple[Reason, ...]:
    """Every reason against writing these days down on ``today``."""
    return tuple(_reasons(out, today, needs_reason=needs_reason))


def _reasons(out: DaysOut, today: date, *, needs_reason: bool) -> Iterator[Reason]:
    if needs_reason and not out.reason:
        yield Reason("Write why: those who want to book are told.", "reason")
    if out.last_day < out.first_day:
        yield Reason(
            f"That ends before it begins, on {date_words(out.first_day)}. Check both days.",
            "last_day",
        )
    elif out.last_day < today:
        yield Reason("These days are over.", "last_day")
    elif out.last_day - out.first_day >= LONGEST:
        yield Reason("That is longer than a year. Check both days.", "last_day")
    if out.first_day - today > FURTHEST:
        yield Reason("This day is more than two years ahead. Check the year.", "first_day")
