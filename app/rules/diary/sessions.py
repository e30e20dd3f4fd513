"""Whether a session may stand in the diary, and every reason why not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.authorised import give_warnings, why_not_give
from app.rules.diary.clock import day_of
from app.rules.diary.facts import (
    Held,
    InstructorState,
    Neighbour,
    Plan,
    SessionState,
    Span,
    YardState,
)
from app.rules.diary.school_days import (
    SchoolCalendar,
    open_warnings,
    why_not_open,
    why_not_working,
)
from app.rules.diary.values import SessionKind
from app.rules.refusal import Reason
from app.rules.words import count_words, time_words
from app.rules.yards.area import YardFacts, riders_at_once

SHORTEST = timedelta(minutes=15)
LONGEST = timedelta(hours=10)
FURTHEST = timedelta(days=731)
"""Our own bounds: less is no training, more is a slip of the pen."""

RIDERS_ON_THE_ROAD = 2
"""Trainees on the road for one instructor. Official: DVSA manual for training bodies."""


def why_not_stand(
    plan: Plan,
    yard: YardState,
    instructor: InstructorState,
    neighbours: Sequence[Neighbour],
    calendar: SchoolCalendar,
    zone: ZoneInfo,
) -> tuple[Reason, ...]:
    """Every reason against a session.

    ``neighbours`` are the others that lie within the calendar's longest gap of it.
    """
    if plan.span.ends_at <= plan.span.starts_at:
        return (Reason("A session has to end after it starts.", "ends"),)
    return (
        *_length(plan.span),
        *why_not_then(plan, yard, instructor, calendar, zone),
        *_instructor(instructor, plan, neighbours, calendar, zone),
        *_places(plan, yard, neighbours),
    )


def why_not_then(
    plan: Plan,
    yard: YardState,
    instructor: InstructorState,
    calendar: SchoolCalendar,
    zone: ZoneInfo,
) -> tuple[Reason, ...]:
    """Every reason of the calendar: not open, not working, an authorisation that has lapsed."""
    who = calendar.of(instructor)
    return (
        *why_not_open(plan.span, yard, calendar, zone),
        *why_not_working(plan.span, who, zone),
        *why_not_give(plan.kind, who, day_of(plan.span.starts_at, zone)),
    )


def warnings(
    plan: Plan, instructor: InstructorState, calendar: SchoolCalendar, zone: ZoneInfo
) -> tuple[str, ...]:
    """What the desk should check about a session that may stand."""
    day = day_of(plan.span.starts_at, zone)
    return (
        *open_warnings(plan.span, calendar, zone),
        *give_warnings(plan.kind, calendar.of(instructor), day),
    )


def why_not_day(day: date, today: date) -> tuple[Reason, ...]:
    """Why no session can be made on a day. Today is allowed, for one that is written down late."""
    if day < today:
        return (Reason("This day is over. Choose today or a later day.", "day"),)
    if day - today > FURTHEST:
        return (Reason("This day is more than two years ahead. Check the year.", "day"),)
    return ()


def _length(span: Span) -> Iterator[Reason]:
    length = span.ends_at - span.starts_at
    if length < SHORTEST:
        yield Reason("A session lasts at least 15 minutes.", "ends")
    elif length > LONGEST:
        yield Reason("A session lasts at most 10 hours.", "ends")


def _instructor(
    instructor: InstructorState,
    plan: Plan,
    neighbours: Iterable[Neighbour],
    calendar: SchoolCalendar,
    zone: ZoneInfo,
) -> Iterator[Reason]:
    if not instructor.active:
        yield Reason(f"{instructor.name} does not teach here now.", "instructor_id")
    for other in neighbours:
        if other.same_instructor and other.span.overlaps(plan.span):
            yield Reason(
                f"{instructor.name} already has a session in {other.yard} on "
                f"{other.span.words(zone)}.",
                "instructor_id",
            )
        elif other.same_instructor:
            yield from _too_close(instructor, plan.span, other, calendar, zone)


def _too_close(
    instructor: InstructorState,
    span: Span,
    other: Neighbour,
    calendar: SchoolCalendar,
    zone: ZoneInfo,
) -> Iterator[Reason]:
    gap = calendar.gap(same_yard=other.same_yard)
    needs = f"needs {count_words(round(gap.total_seconds() / 60), 'minute')}"
    why = "between two sessions" if other.same_yard else "to get from one yard to the other"
    if timedelta() <= span.starts_at - other.span.ends_at < gap:
        until = f"until {time_words(other.span.ends_at, zone)}"
        said = f"{instructor.name} is busy in {other.yard} {until} and {needs} {why}."
        yield Reason(said, "starts")
    elif timedelta() <= other.span.starts_at - span.ends_at < gap:
        begins = f"from {time_words(other.span.starts_at, zone)}"
        said = f"{instructor.name} is busy in {other.yard} {begins} and {needs} {why}."
        yield Reason(said, "ends")


def _places(plan: Plan, yard: YardState, neighbours: Sequence[Neighbour]) -> Iterator[Reason]:
    if not yard.open:
        yield Reason(f"{yard.name} is closed.", "yard_id")
    if plan.places < 1:
        yield Reason("A session has at least one place.", "places")
    if plan.kind is SessionKind.ROAD:
        # They are away from the yard, so its area and its other riders do not limit them.
        if plan.places > RIDERS_ON_THE_ROAD:
            yield Reason(
                f"On the road one instructor may have {RIDERS_ON_THE_ROAD} riders. "
                f"Choose {RIDERS_ON_THE_ROAD} places or 1.",
                "places",
            )
        return
    limit = riders_at_once(YardFacts(yard.length_m, yard.width_m))
    if plan.places > limit.riders:
        places = count_words(limit.riders, "place")
        yield Reason(f"Here a session has at most {places}. {limit.reason}", "places")
        return
    others = most_at_once(plan, neighbours)
    free = yard.places - others
    if plan.places > free:
        yield Reason(_no_room(yard, others, free), "places" if others == 0 else "yard_id")


def _no_room(yard: YardState, others: int, free: int) -> str:
    has = f"{yard.name} has {count_words(yard.places, 'place')}"
    if others == 0:
        return f"{has}. Choose that many or fewer."
    left = f"{count_words(free, 'is', 'are')} left" if free > 0 else "none is left"
    return f"{has}, and other sessions at that time use {others}: {left}."


def most_at_once(plan: Plan, neighbours: Iterable[Neighbour]) -> int:
    """The most places that other sessions use in this yard at any one moment of the plan."""
    near = (n for n in neighbours if n.same_yard and not n.on_road)
    here = [n for n in near if n.span.overlaps(plan.span)]
    # The number only rises when a session starts, so it is enough to look at the starts.
    moments = {plan.span.starts_at, *(n.span.starts_at for n in here)}
    return max(
        sum(n.places for n in here if n.span.starts_at <= at < n.span.ends_at) for at in moments
    )


def why_not_move(
    plan: Plan, taken: int, held_elsewhere: Iterable[Held], zone: ZoneInfo
) -> tuple[Reason, ...]:
    """Every reason why those already booked forbid this change of their session.

    ``held_elsewhere`` are places in other sessions of the same students or on the same bikes.
    """
    clashes = [held for held in held_elsewhere if held.span.overlaps(plan.span)]
    reasons = [Reason(_clash(held, zone), "starts") for held in clashes]
    if taken > plan.places:
        booked = count_words(taken, "student is", "students are")
        reasons.append(Reason(f"{booked} booked. Keep at least {taken} places.", "places"))
    return tuple(reasons)


def _clash(held: Held, zone: ZoneInfo) -> str:
    who = held.student if held.same_student else held.bike
    return f"{who} is booked elsewhere on {held.span.words(zone)}, in {held.yard}."


def why_not_change(state: SessionState, now: datetime, zone: ZoneInfo) -> tuple[Reason, ...]:
    """Why a session can no longer be changed or cancelled: it is cancelled, or its day is over."""
    if state.cancelled:
        return (Reason("This session has been cancelled."),)
    if day_of(state.span.starts_at, zone) < day_of(now, zone):
        return (Reason("This session is over. It stays in the diary as it was."),)
    return ()
