"""What a course may be asked for."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from app.rules.diary.finding_facts import MOST_DAYS
from app.rules.refusal import Reason

MOST_SESSIONS = 12
MOST_BETWEEN = 30
"""Bounds that only a slip of the pen passes. Our own choice."""


def why_not_course(
    number: int, days_between: int, days: tuple[date, date], today: date
) -> tuple[Reason, ...]:
    """Every reason against looking for a course of so many sessions between two days."""
    return tuple(_amount(number, days_between)) + tuple(_days(days, today))


def why_not_book_all(name: str, number: int) -> tuple[Reason, ...]:
    """Why a course of so many sessions cannot be booked under a name, the sessions apart."""
    if not name.strip():
        return (Reason("Write what the course is called.", "name"),)
    return tuple(_number(number, "places"))


def _amount(number: int, days_between: int) -> Iterator[Reason]:
    yield from _number(number, "number")
    if not 0 <= days_between <= MOST_BETWEEN:
        yield Reason(f"Choose from 0 to {MOST_BETWEEN} days.", "days_between")


def _number(number: int, where: str) -> Iterator[Reason]:
    if not 1 <= number <= MOST_SESSIONS:
        yield Reason(f"Choose from 1 to {MOST_SESSIONS} sessions.", where)


def _days(days: tuple[date, date], today: date) -> Iterator[Reason]:
    first, last = days
    if last < today:
        yield Reason("These days are over. Choose today or a later day.", "last_day")
    elif last < first:
        yield Reason("This day is before the first. Choose a later one.", "last_day")
    elif last - max(first, today) > timedelta(days=MOST_DAYS):
        yield Reason(f"Choose at most {MOST_DAYS} days.", "last_day")
