"""The places in a small diary found by trying everything and asking the rules each time."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, time, timedelta

from app.rules.diary.bookings import why_not_book
from app.rules.diary.facts import Held, Neighbour, Plan, SessionState, Span, Teacher
from app.rules.diary.finding_day import EARLIEST, LATEST, STEP
from app.rules.diary.finding_facts import (
    Horizon,
    KnownBike,
    KnownInstructor,
    KnownYard,
    Need,
    Wish,
)
from app.rules.diary.sessions import why_not_stand, why_not_then
from app.rules.diary.values import SessionKind
from app.rules.yards.area import why_not_rideable
from tests.rules.diary.horizons import FIRST, LAST, NOW, ZONE


def bikes_for(wish: Wish, horizon: Horizon) -> list[KnownBike | None]:
    """Every bike of the school, or none for somebody who rides their own."""
    return [None] if wish.own_bike else list(horizon.bikes.values())


def accepts(
    wish: Wish, horizon: Horizon, state: SessionState, own: int | None, one: KnownBike | None
) -> bool:
    """Whether the rule of booking lets the student into a session on this bike."""
    held = [
        Held(
            other.span,
            "a yard",
            "a student",
            "a bike",
            taking.student_id == wish.student_id,
            one is not None and taking.bike_id == one.id,
            other.id == own,
        )
        for other in horizon.sessions
        for taking in horizon.inside.get(other.id, ())
        if other.span.overlaps(state.span)
        and (taking.student_id == wish.student_id or (one and taking.bike_id == one.id))
    ]
    return not why_not_book(state, wish.rider, one.state if one else None, held, NOW, ZONE)


def state_by_id(horizon: Horizon, session_id: int) -> SessionState:
    """A session of the diary as the rule of booking is told of it."""
    one = next(each for each in horizon.sessions if each.id == session_id)
    yard, who = horizon.yards[one.yard_id].state, horizon.instructors[one.instructor_id].state
    plan = Plan(one.span, one.places, one.kind)
    return SessionState(
        span=one.span,
        yard=yard.name,
        places=one.places,
        taken=len(horizon.inside.get(one.id, ())),
        cancelled=False,
        teacher=teacher_by_id(horizon, one.instructor_id),
        against=why_not_then(plan, yard, who, horizon.calendar, ZONE),
    )


def teacher_by_id(horizon: Horizon, instructor_id: int) -> Teacher:
    """Who gives a session, with what is on file."""
    days = horizon.calendar.instructors[instructor_id]
    return Teacher(days.name, days.authorisations)


def within(wish: Wish, span: Span, yard_state: KnownYard, who: int) -> bool:
    """Whether a time, a yard and an instructor are what was wished for."""
    begins, ends = span.starts_at.astimezone(ZONE), span.ends_at.astimezone(ZONE)
    return (
        span.starts_at > NOW
        and wish.first_day <= begins.date() <= wish.last_day
        and begins.weekday() in wish.weekdays
        and (wish.begins is None or begins.time() >= wish.begins)
        and (wish.ends is None or (ends.date() == begins.date() and ends.time() <= wish.ends))
        and wish.yard_id in (None, yard_state.id)
        and wish.instructor_id in (None, who)
        and (not wish.only_rideable or all(_rideable(need, yard_state) for need in wish.needs))
    )


def _rideable(need: Need, where: KnownYard) -> bool:
    return not why_not_rideable(need.variant, where.area, needs_speed_run=need.speed_run)


def sessions_by_trying(wish: Wish, horizon: Horizon) -> list[int]:
    """Every session that has a place for the wish, found by asking the rule for each bike."""
    found = []
    for one in horizon.sessions:
        length = (one.span.ends_at - one.span.starts_at) / timedelta(minutes=1)
        state = state_by_id(horizon, one.id)
        fits = one.kind is wish.kind and length >= (wish.minutes or 0)
        fits = fits and within(wish, one.span, horizon.yards[one.yard_id], one.instructor_id)
        if fits and any(accepts(wish, horizon, state, one.id, b) for b in bikes_for(wish, horizon)):
            found.append(one.id)
    return found


def openings_by_trying(wish: Wish, horizon: Horizon, minutes: int) -> set[datetime]:
    """The first quarter of an hour of every gap, found by asking the rules for all of them."""
    return {
        at
        for who in horizon.instructors.values()
        for where in horizon.yards.values()
        for at in _first_of_gaps(wish, horizon, who, where, minutes)
    }


def _first_of_gaps(
    wish: Wish, horizon: Horizon, who: KnownInstructor, where: KnownYard, minutes: int
) -> Iterator[datetime]:
    before, at = False, datetime.combine(FIRST, time(), ZONE).astimezone(UTC)
    while at < datetime.combine(LAST + timedelta(days=1), time(), ZONE).astimezone(UTC):
        span = Span(at, at + timedelta(minutes=minutes))
        now = _could_stand(wish, horizon, who, where, span)
        if now and not before:
            yield at
        before, at = now, at + STEP


def _could_stand(
    wish: Wish, horizon: Horizon, who: KnownInstructor, where: KnownYard, span: Span
) -> bool:
    calendar = horizon.calendar
    begins, ends = span.starts_at.astimezone(ZONE), span.ends_at.astimezone(ZONE)
    if not calendar.hours and not calendar.of(who.state).hours:
        early = wish.begins is None and begins.time() < EARLIEST
        if early or (wish.ends is None and ends.time() > LATEST):
            return False
    if begins.date() != ends.date() or not within(wish, span, where, who.id):
        return False
    near = neighbours_by_trying(horizon, where.id, who.id)
    plan = Plan(span, 1, wish.kind)
    if why_not_stand(plan, where.state, who.state, near, calendar, ZONE):
        return False
    state = SessionState(span, "a yard", 1, 0, False, teacher_by_id(horizon, who.id))
    return any(accepts(wish, horizon, state, None, one) for one in bikes_for(wish, horizon))


def neighbours_by_trying(horizon: Horizon, yard_id: int, who: int) -> list[Neighbour]:
    """All sessions of a yard or an instructor, however far away."""
    return [
        Neighbour(
            one.span,
            "a yard",
            "somebody",
            one.places,
            one.yard_id == yard_id,
            one.instructor_id == who,
            one.kind is SessionKind.ROAD,
        )
        for one in horizon.sessions
        if one.yard_id == yard_id or one.instructor_id == who
    ]
