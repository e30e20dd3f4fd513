"""Who may wait for a place, and for what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time, timedelta

from app.rules.diary.facts import Rider
from app.rules.diary.finding_facts import MOST_DAYS, Wish
from app.rules.diary.values import SessionKind
from app.rules.refusal import Reason

FURTHEST = timedelta(days=366)
"""So far ahead somebody may wait. Our own bound: a slip of the pen is further."""


@dataclass(frozen=True, slots=True)
class WaitingWish:
    """What a student waits for, and when they can; days and times are the school's own.

    ``weekdays`` are 0 for Monday to 6. With ``session_id`` they wait for that session alone.
    """

    student_id: int
    kind: SessionKind
    earliest: date
    latest: date
    weekdays: frozenset[int] = frozenset(range(7))
    begins: time | None = None
    ends: time | None = None
    own_bike: bool = False
    session_id: int | None = None


def is_met(wish: WaitingWish, session_id: int, kind: SessionKind, day: date) -> bool:
    """Whether a place in this session, on this day, is what somebody waits for.

    Weekdays and times are not asked: whoever takes a place outside of them has found one.
    """
    named = wish.session_id in (None, session_id)
    return named and kind is wish.kind and wish.earliest <= day <= wish.latest


def as_search(wish: WaitingWish, student: Rider, today: date) -> Wish:
    """What somebody waits for, as the search for a place is asked from ``today`` on."""
    first = max(wish.earliest, today)
    return Wish(
        student_id=wish.student_id,
        rider=student,
        kind=wish.kind,
        first_day=first,
        last_day=min(wish.latest, first + timedelta(days=MOST_DAYS)),
        weekdays=wish.weekdays,
        begins=wish.begins,
        ends=wish.ends,
        own_bike=wish.own_bike,
        session_id=wish.session_id,
    )


def why_not_wait(wish: WaitingWish, today: date) -> tuple[Reason, ...]:
    """Every reason against putting somebody on the list as written down on ``today``."""
    return tuple(_days(wish, today)) + tuple(_times(wish))


def _days(wish: WaitingWish, today: date) -> Iterator[Reason]:
    if wish.latest < wish.earliest:
        yield Reason("This day is before the first. Choose a later one.", "last_day")
    elif wish.latest < today:
        yield Reason("These days are over. Choose today or a later day.", "last_day")
    elif wish.latest - today > FURTHEST:
        yield Reason("This day is more than a year ahead. Check the year.", "last_day")
    if not wish.weekdays:
        yield Reason("Choose at least one day of the week.", "weekdays")


def _times(wish: WaitingWish) -> Iterator[Reason]:
    if wish.begins is not None and wish.ends is not None and wish.ends <= wish.begins:
        yield Reason("This is not later than the time before it.", "ends")
