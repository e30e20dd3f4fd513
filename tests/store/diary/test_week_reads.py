"""A week of the diary, and what holds of every view: each session of its time stands in it once."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import insert
from sqlalchemy.orm import Session

from app.rules.diary.clock import monday_of
from app.rules.diary.showing import SCHOOL, By, Showing
from app.rules.diary.values import BookingState, SessionKind
from app.rules.refusal import Missing
from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.diary import session_writes
from app.store.diary.day_reads import day_sheet
from app.store.diary.tables import BookingRow, SessionRow
from app.store.diary.week_reads import Week, WeekGrid, week
from app.store.people.tables import DayOffRow
from tests.support import cast
from tests.support.busy import busy_days
from tests.support.clock import LONDON, START
from tests.support.diary import DESK, TOMORROW, add_session, book
from tests.support.queries import counted
from tests.support.sheets import EVERY_VIEW, in_grid, in_week

MONDAY = date(2026, 11, 23)
SCHOOL_SETTINGS = SchoolSettings()


def _week(database: Database, showing: Showing = SCHOOL, monday: date = MONDAY) -> Week | WeekGrid:
    with database.reading() as session:
        return week(session, monday, showing, START, SCHOOL_SETTINGS)


@pytest.mark.parametrize("showing", EVERY_VIEW, ids=lambda showing: showing.word)
def test_a_busy_week_asks_no_more_of_the_database(
    either: Database, people: cast.Cast, showing: Showing
) -> None:
    with counted(either) as few:
        _week(either, showing)
    busy_days(either, [MONDAY, TOMORROW])
    with counted(either) as many:
        _week(either, showing)
    assert (len(few), len(many)) == (11, 11), many


def test_the_schools_week_has_a_row_for_each_day(either: Database, people: cast.Cast) -> None:
    early = add_session(either, people)
    gone = add_session(either, people, starts=time(13), ends=time(14))
    session_writes.cancel_session(either, DESK, gone, 1, START)
    with either.writing() as session:
        out = {"first_day": TOMORROW, "last_day": TOMORROW, "noted_at": START}
        session.execute(insert(DayOffRow).values(instructor_id=people.other_instructor, **out))
    found = _week(either)
    assert isinstance(found, Week)
    assert [row.today for row in found.days] == [False, False, False, True, False, False, False]
    friday = found.days[4]
    assert [one.times for one in friday.cells[0].sessions] == ["09:00 to 11:00"]
    assert [cell.words for cell in friday.cells] == ["", "day off"]
    assert [cell.words for cell in found.days[0].cells] == ["free", "free"]
    assert [line.id for line in found.cancelled] == [gone]
    # Today's two sessions have three places left each, tomorrow's has all four.
    assert (found.free, early in {key[2] for key in in_week(found)}) == (10, True)


def test_the_week_of_one_is_a_grid_of_days(either: Database, people: cast.Cast) -> None:
    training = add_session(either, people, starts=time(10, 20), ends=time(11, 45))
    book(either, training, people.learner, people.bike)
    found = _week(either, Showing(By.BIKE, people.bike))
    assert isinstance(found, WeekGrid)
    assert [head.day for head in found.grid.heads] == [MONDAY + timedelta(days=n) for n in range(7)]
    assert [len(found.grid.sessions(n)) for n in range(7)] == [0, 0, 0, 1, 1, 0, 0]
    assert found.shown.name == "Bike 1"


@pytest.mark.parametrize(
    ("monday", "words"),
    [(date(2026, 10, 19), "has 25 hours"), (date(2027, 3, 22), "has 23 hours")],
)
def test_the_week_of_a_change_of_the_clock_says_so(
    either: Database, people: cast.Cast, monday: date, words: str
) -> None:
    alone = _week(either, Showing(By.INSTRUCTOR, people.instructor), monday)
    everyone = _week(either, SCHOOL, monday)
    assert isinstance(alone, WeekGrid)
    assert isinstance(everyone, Week)
    assert words in " ".join(alone.grid.heads[6].notes)
    assert words in everyone.days[6].note


@pytest.mark.parametrize("by", list(By))
def test_an_unknown_one_is_missing(either: Database, people: cast.Cast, by: By) -> None:
    with pytest.raises(Missing):
        _week(either, Showing(by, 99))


@dataclass(frozen=True, slots=True)
class Drawn:
    """A session somewhere around a change of the clock."""

    instructor: int
    yard: int
    starts_at: datetime
    ends_at: datetime
    cancelled: bool
    bike: int | None


SUNDAYS = [date(2026, 10, 25), date(2027, 3, 28), date(2028, 2, 27)]
"""Both changes of the clock, and the Sunday of a week in which a leap day lies nearby."""


@st.composite
def _diaries(draw: st.DrawFn) -> tuple[date, list[Drawn]]:
    """Sessions of two instructors over four days around a Sunday, each one's one after another."""
    sunday = draw(st.sampled_from(SUNDAYS))
    found: list[Drawn] = []
    for person in (0, 1):
        at = datetime.combine(sunday - timedelta(days=2), time(0), LONDON).astimezone(UTC)
        for _ in range(draw(st.integers(1, 6))):
            starts = at + timedelta(minutes=draw(st.integers(0, 1400)))
            at = starts + timedelta(minutes=draw(st.integers(15, 600)))
            bike = draw(st.sampled_from([None, person]))
            yard, cancelled = draw(st.integers(0, 1)), draw(st.booleans())
            found.append(Drawn(person, yard, starts, at, cancelled, bike))
    return sunday, found


def _keep(session: Session, people: cast.Cast, drawn: Drawn) -> int:
    instructors, yards = (
        (people.instructor, people.other_instructor),
        (people.yard, people.small_yard),
    )
    when = {"starts_at": drawn.starts_at, "ends_at": drawn.ends_at}
    row = SessionRow(
        instructor_id=instructors[drawn.instructor],
        yard_id=yards[drawn.yard],
        kind=SessionKind.CBT,
        places=2,
        cancelled_at=START if drawn.cancelled else None,
        **when,
    )
    session.add(row)
    session.flush()
    if drawn.bike is not None:
        students, bikes = (people.learner, people.stranger), (people.bike, people.other_bike)
        place = {"student_id": students[drawn.bike], "bike_id": bikes[drawn.bike]}
        booked = {"state": BookingState.BOOKED, "booked_at": START}
        session.add(BookingRow(session_id=row.id, **place, **booked, **when))
        session.flush()
    return row.id


def _days(drawn: Drawn) -> set[date]:
    """The days at the school that a session has a moment of, minute by minute."""
    minutes = int((drawn.ends_at - drawn.starts_at).total_seconds()) // 60
    moments = (drawn.starts_at + timedelta(minutes=n) for n in range(minutes))
    return {moment.astimezone(LONDON).date() for moment in moments}


def _owner(people: cast.Cast, by: By, one: Drawn) -> int | None:
    if by is By.INSTRUCTOR:
        return (people.instructor, people.other_instructor)[one.instructor]
    if by is By.YARD:
        return (people.yard, people.small_yard)[one.yard]
    return None if one.bike is None else (people.bike, people.other_bike)[one.bike]


def _expected(
    people: cast.Cast, kept: dict[int, Drawn], showing: Showing
) -> Counter[tuple[str, date, int]]:
    owners = {
        number: _owner(people, showing.by, one) for number, one in kept.items() if not one.cancelled
    }
    return Counter(
        (Showing(showing.by, owner).word, day, number)
        for number, owner in owners.items()
        if owner is not None and showing.id in (None, owner)
        for day in _days(kept[number])
    )


@settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(diary=_diaries())
def test_every_session_stands_once_in_each_view_of_its_days(
    either: Database, people: cast.Cast, diary: tuple[date, list[Drawn]]
) -> None:
    """By week and by day; of the school, of each yard, instructor and bike. Nothing is kept."""
    sunday, drawn = diary
    everything = [Showing(by, one) for by in By for one in (None, 1, 2)]
    with either.reading() as session:
        kept = {_keep(session, people, one): one for one in drawn}
        for showing in everything:
            wanted = _expected(people, kept, showing)
            for monday in (monday_of(sunday), sunday + timedelta(days=1)):
                found = in_week(week(session, monday, showing, START, SCHOOL_SETTINGS))
                assert found == _within(wanted, monday, 7)
            for day in (sunday, sunday + timedelta(days=1)):
                sheet = day_sheet(session, day, showing, START, SCHOOL_SETTINGS)
                assert in_grid(sheet.grid) == _within(wanted, day, 1)
        session.rollback()


def _within(
    wanted: Counter[tuple[str, date, int]], first: date, days: int
) -> Counter[tuple[str, date, int]]:
    last = first + timedelta(days=days)
    return Counter({key: number for key, number in wanted.items() if first <= key[1] < last})
