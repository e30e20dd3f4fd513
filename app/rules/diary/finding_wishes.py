"""Whether what a student wants can be looked for at all."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from app.rules.diary.finding_facts import MOST_DAYS, Wish
from app.rules.diary.sessions import FURTHEST, LONGEST, SHORTEST
from app.rules.diary.values import SessionKind
from app.rules.refusal import Reason

PRACTICE = frozenset({SessionKind.MODULE_1, SessionKind.MOCK_TEST})
"""In these the manoeuvres of module 1 are ridden, so the yard must allow what is flagged."""


def furthest(wish: Wish) -> date:
    """The last day that can be looked through, so that an answer can say what comes later."""
    return wish.first_day + timedelta(days=MOST_DAYS - 1)


def why_not_wish(wish: Wish, today: date) -> tuple[Reason, ...]:
    """Every reason why no place can be looked for, at the fields of the form."""
    return (*_days(wish, today), *_times(wish))


def _days(wish: Wish, today: date) -> Iterator[Reason]:
    if wish.first_day < today:
        yield Reason("This day is over. Choose today or a later day.", "first_day")
    elif wish.first_day - today > FURTHEST:
        yield Reason("This day is more than two years ahead. Check the year.", "first_day")
    if wish.last_day < wish.first_day:
        yield Reason("The last day comes before the first.", "last_day")
    elif wish.last_day - wish.first_day >= timedelta(days=MOST_DAYS):
        last = wish.first_day + timedelta(days=MOST_DAYS - 1)
        yield Reason(
            f"At most {MOST_DAYS} days are looked through. Choose {last.isoformat()} or earlier.",
            "last_day",
        )
    if not wish.weekdays:
        yield Reason("Tick at least one day of the week.", "weekdays")


def _times(wish: Wish) -> Iterator[Reason]:
    if wish.minutes is not None:
        length = timedelta(minutes=wish.minutes)
        if length < SHORTEST:
            yield Reason("A session lasts at least 15 minutes.", "minutes")
        elif length > LONGEST:
            yield Reason("A session lasts at most 10 hours.", "minutes")
    if wish.begins and wish.ends and wish.ends <= wish.begins:
        yield Reason("This has to be later than the time before it.", "ends")
