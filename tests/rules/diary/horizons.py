"""Small diaries drawn at random, and the places in them found by trying everything."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from app.rules.categories import Category
from app.rules.diary.bookings import why_not_book
from app.rules.diary.facts import (
    BikeState,
    Held,
    InstructorState,
    Neighbour,
    Plan,
    Rider,
    SessionState,
    Span,
    Teacher,
    YardState,
)
from app.rules.diary.finding_day import EARLIEST, LATEST, STEP
from app.rules.diary.finding_facts import (
    Horizon,
    KnownBike,
    KnownInstructor,
    KnownYard,
    Listed,
    Need,
    Taking,
    Wish,
    horizon_of,
)
from app.rules.diary.school_days import InstructorDays, SchoolCalendar
from app.rules.diary.sessions import why_not_stand
from app.rules.diary.values import SessionKind
from app.rules.people.authorisations import Authorisation
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.yards.area import YardFacts, why_not_rideable

ZONE = ZoneInfo("Europe/London")
FIRST = date(2026, 10, 24)
"""A Saturday; the clock goes back on the day after it."""

LAST = FIRST + timedelta(days=3)
NOW = datetime(2026, 10, 24, 8, 5, tzinfo=UTC)
LEFT = Need("Hazard avoidance, left", "left", speed_run=True)
RIGHT = Need("Hazard avoidance, right", "right", speed_run=True)


def yard(number: int, name: str, places: int = 4, *, left: bool = True) -> KnownYard:
    """An open yard with room for four, where the avoidance may have no way to the left."""
    state = YardState(name, 130, 45, places, open=True, id=number)
    return KnownYard(number, state, YardFacts(130, 45, True, left, True))


def instructor(number: int, name: str) -> KnownInstructor:
    """Somebody who teaches."""
    return KnownInstructor(number, InstructorState(name, active=True, id=number))


def bike(number: int, category: Category, off: str | None = None) -> KnownBike:
    """A bike, off the road for a reason or on it."""
    return KnownBike(number, BikeState(f"Bike {number}", category, off))


def listed(
    number: int,
    starts: datetime,
    minutes: int,
    kind: SessionKind = SessionKind.MODULE_1,
    yard_id: int = 1,
    instructor_id: int = 1,
    places: int = 4,
) -> Listed:
    """A session that begins at a moment."""
    span = Span(starts, starts + timedelta(minutes=minutes))
    begins, ends = starts.astimezone(ZONE), span.ends_at.astimezone(ZONE)
    until = ends.time() if ends.date() == begins.date() else None
    return Listed(
        number, kind, yard_id, instructor_id, span, places, begins.date(), begins.time(), until
    )


_CLOCKS = st.sampled_from([time(hour, minute) for hour in range(7, 18) for minute in (0, 30)])
_KINDS = st.sampled_from([SessionKind.MODULE_1] * 4 + [SessionKind.ROAD, SessionKind.CBT])
_CATEGORIES = st.sampled_from(list(Category))


@st.composite
def _sessions(draw: st.DrawFn) -> list[Listed]:
    """Up to eight sessions, whether or not they could all stand in one diary."""
    found = []
    for number in range(1, draw(st.integers(0, 8)) + 1):
        day = FIRST + timedelta(days=draw(st.integers(0, 3)))
        starts = datetime.combine(day, draw(_CLOCKS), ZONE).astimezone(UTC)
        found.append(
            listed(
                number,
                starts,
                draw(st.sampled_from([60, 90, 120, 240])),
                draw(_KINDS),
                draw(st.integers(1, 2)),
                draw(st.integers(1, 2)),
                draw(st.integers(1, 3)),
            )
        )
    return found


@st.composite
def _takings(draw: st.DrawFn, sessions: list[Listed]) -> list[Taking]:
    if not sessions:
        return []
    takings = []
    for number in range(draw(st.integers(0, 10))):
        session = draw(st.sampled_from(sessions))
        student = draw(st.integers(1, 5))
        chosen = draw(st.sampled_from([None, 1, 2, 3]))
        takings.append(Taking(number, session.id, student, chosen))
    return takings


@st.composite
def _hours(draw: st.DrawFn) -> tuple[WeeklyHours, ...]:
    if draw(st.booleans()):
        return ()
    days = draw(st.sets(st.integers(0, 6), min_size=1))
    return tuple(
        WeeklyHours(day, time(draw(st.sampled_from([8, 9]))), time(draw(st.sampled_from([13, 17]))))
        for day in days
    )


def _authorisations() -> st.SearchStrategy[dict[Authorisation, date | None]]:
    lapses = st.sampled_from([None, FIRST, LAST])
    return st.dictionaries(st.sampled_from(list(Authorisation)), lapses)


@st.composite
def _calendar(draw: st.DrawFn) -> SchoolCalendar:
    closed = FIRST + timedelta(days=draw(st.integers(0, 5)))
    people = {
        number: InstructorDays(
            name,
            draw(_hours()),
            (DaysOut(closed, closed),) if draw(st.booleans()) else (),
            draw(_authorisations()),
        )
        for number, name in ((1, "Ines Heron"), (2, "Ivor Plover"))
    }
    return SchoolCalendar(
        hours=draw(_hours()),
        closures=(DaysOut(closed, closed, "", draw(st.sampled_from([None, 1]))),),
        turnaround=timedelta(minutes=draw(st.sampled_from([0, 10]))),
        travel=timedelta(minutes=draw(st.sampled_from([0, 20, 40]))),
        instructors=people,
    )


@st.composite
def horizons(draw: st.DrawFn) -> Horizon:
    """A diary of four days with two yards, two instructors and three bikes."""
    sessions = draw(_sessions())
    off = draw(st.sampled_from([None, "Clutch cable frayed"]))
    return horizon_of(
        (FIRST, LAST),
        sessions,
        draw(_takings(sessions)),
        [yard(1, "Long yard"), yard(2, "Short yard", 2, left=False)],
        [instructor(1, "Ines Heron"), instructor(2, "Ivor Plover")],
        [bike(1, draw(_CATEGORIES)), bike(2, draw(_CATEGORIES)), bike(3, Category.A1, off)],
        draw(_calendar()),
    )


@st.composite
def wishes(draw: st.DrawFn) -> Wish:
    """What somebody may want within the four days."""
    born = draw(st.sampled_from([None, date(1998, 5, 17), date(2008, 10, 26), date(2004, 1, 1)]))
    rider = Rider("Rider 1", draw(_CATEGORIES), born, draw(st.booleans()))
    return Wish(
        student_id=1,
        rider=rider,
        kind=draw(_KINDS),
        first_day=FIRST + timedelta(days=draw(st.integers(0, 2))),
        last_day=LAST,
        minutes=draw(st.sampled_from([None, 60, 120])),
        weekdays=frozenset(draw(st.sets(st.integers(0, 6), min_size=3))),
        begins=draw(st.none() | st.sampled_from([time(9), time(12, 30)])),
        ends=draw(st.none() | st.sampled_from([time(12), time(17)])),
        own_bike=draw(st.booleans()),
        needs=draw(st.sampled_from([(), (LEFT,), (LEFT, RIGHT)])),
        only_rideable=draw(st.booleans()),
        yard_id=draw(st.sampled_from([None, None, 2])),
        instructor_id=draw(st.sampled_from([None, None, 2])),
    )


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
        taken = len(horizon.inside.get(one.id, ()))
        teacher = teacher_by_id(horizon, one.instructor_id)
        state = SessionState(one.span, "a yard", one.places, taken, False, teacher)
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
