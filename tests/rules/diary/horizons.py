"""Small diaries drawn at random, and the places in them found by trying everything."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from app.rules.categories import Category
from app.rules.diary.facts import (
    BikeState,
    InstructorState,
    Rider,
    Span,
    YardState,
)
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
from app.rules.diary.values import SessionKind
from app.rules.people.authorisations import Authorisation
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.yards.area import YardFacts

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
