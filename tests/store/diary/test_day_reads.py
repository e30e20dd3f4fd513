"""A day of the diary by time: what stands in which column, what is free, who is not there."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from sqlalchemy import insert, update

from app.rules.diary.grid import GapKind
from app.rules.diary.showing import SCHOOL, By, Showing
from app.rules.diary.values import BookingState
from app.rules.refusal import Missing
from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.diary import session_writes
from app.store.diary.day_reads import DaySheet, day_sheet
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import DayOffRow, InstructorHoursRow
from app.store.yards import writes as yards
from app.store.yards.tables import ClosureRow, OpeningHoursRow
from tests.support import cast
from tests.support.busy import busy_days
from tests.support.clock import LONDON, START
from tests.support.diary import DESK, TOMORROW, add_session, book
from tests.support.queries import counted
from tests.support.sheets import EVERY_VIEW, in_grid

TODAY = date(2026, 11, 26)
SCHOOL_SETTINGS = SchoolSettings()


def _sheet(
    database: Database, day: date = TOMORROW, showing: Showing = SCHOOL, now: datetime = START
) -> DaySheet:
    with database.reading() as session:
        return day_sheet(session, day, showing, now, SCHOOL_SETTINGS)


@pytest.mark.parametrize("showing", EVERY_VIEW, ids=lambda showing: showing.word)
def test_a_busy_day_asks_no_more_of_the_database(
    either: Database, people: cast.Cast, showing: Showing
) -> None:
    with counted(either) as few:
        _sheet(either, TODAY, showing)
    busy_days(either, [TODAY])
    with counted(either) as many:
        _sheet(either, TODAY, showing)
    assert (len(few), len(many)) == (11, 11), many


def test_instructors_stand_side_by_side_with_what_they_have(
    either: Database, people: cast.Cast
) -> None:
    early = add_session(either, people, starts=time(10, 20), ends=time(11, 45))
    gone = add_session(either, people, starts=time(16), ends=time(17))
    session_writes.cancel_session(either, DESK, gone, 1, START)
    other = add_session(
        either, people, yard_id=people.small_yard, instructor_id=people.other_instructor, places=3
    )
    book(either, early, people.learner, people.bike)
    sheet = _sheet(either)
    assert [head.name for head in sheet.grid.heads] == ["Ines Heron", "Ivor Plover"]
    assert set(in_grid(sheet.grid)) == {
        (f"instructor-{people.instructor}", TOMORROW, early),
        (f"instructor-{people.other_instructor}", TOMORROW, other),
    }
    (shown,) = sheet.grid.sessions(0)
    assert shown.times == "10:20 to 11:45"
    assert [(seat.student, seat.bike) for seat in shown.block.seats] == [("Lena Wren", "Bike 1")]
    assert (shown.block.session.taken, shown.block.session.free) == (1, 3)
    assert [line.id for line in sheet.cancelled] == [gone]
    assert (sheet.sessions, sheet.free) == (2, 6)


def test_a_place_that_is_held_is_taken_until_its_hold_is_over(
    either: Database, people: cast.Cast
) -> None:
    training = add_session(either, people)
    until = START + timedelta(hours=2)
    with either.writing() as session:
        row = {"session_id": training, "student_id": people.learner, "bike_id": people.bike}
        state = {"state": BookingState.HELD, "held_until": until, "booked_at": START}
        session.execute(insert(BookingRow).values(**row, **state))
    (before,) = _sheet(either).grid.sessions(0)
    (after,) = _sheet(either, now=until).grid.sessions(0)
    assert [seat.held_until for seat in before.block.seats] == [until]
    assert (before.block.session.free, after.block.session.free) == (3, 4)
    assert after.block.seats == ()
    assert _sheet(either, showing=Showing(By.BIKE), now=until).grid.heads == ()


def test_over_midnight_a_session_stands_on_both_days(either: Database, people: cast.Cast) -> None:
    night = add_session(either, people, starts=time(21), ends=time(23))
    begins = datetime.combine(TOMORROW, time(23), LONDON)
    with either.writing() as session:
        times = {"starts_at": begins, "ends_at": begins + timedelta(hours=2)}
        session.execute(update(SessionRow).where(SessionRow.id == night).values(**times))
    said = [
        one.times
        for day in (TOMORROW, TOMORROW + timedelta(days=1))
        for one in _sheet(either, day).grid.sessions(0)
    ]
    assert said == ["23:00 to Sat 01:00", "from Fri 23:00 to 01:00"]


def test_bikes_are_shown_with_who_rides_them(either: Database, people: cast.Cast) -> None:
    training = add_session(either, people)
    book(either, training, people.learner, people.bike)
    book(either, training, people.stranger, None)
    yards.take_off_road(either, DESK, people.other_bike, 1, "Flat tyre", START)
    sheet = _sheet(either, showing=Showing(By.BIKE))
    assert [head.name for head in sheet.grid.heads] == ["Bike 1"]
    (ride,) = sheet.grid.sessions(0)
    assert [seat.student for seat in ride.block.seats] == ["Lena Wren"]
    assert [(one.words, one.names) for one in sheet.apart] == [
        ("off the road: Flat tyre", ("Bike 2",))
    ]
    alone = _sheet(either, showing=Showing(By.BIKE, people.other_bike))
    assert alone.grid.heads[0].notes == ("category A", "off the road: Flat tyre")


def test_two_sessions_in_one_yard_stand_side_by_side(either: Database, people: cast.Cast) -> None:
    for who in (people.instructor, people.other_instructor):
        add_session(either, people, instructor_id=who, places=2)
    sheet = _sheet(either, showing=Showing(By.YARD, people.yard))
    assert [head.lanes for head in sheet.grid.heads] == [2]
    assert sum(in_grid(sheet.grid).values()) == 2


def _hours(database: Database, people: cast.Cast) -> None:
    """Open 08:30 to 17:30 on weekdays; Ines works until noon on Fridays, Ivor is off tomorrow."""
    with database.writing() as session:
        opening = {"opens": time(8, 30), "closes": time(17, 30)}
        session.execute(insert(OpeningHoursRow), [{"weekday": day, **opening} for day in range(5)])
        work = {"weekday": 4, "begins": time(8, 30), "ends": time(12)}
        session.execute(insert(InstructorHoursRow).values(instructor_id=people.instructor, **work))
        out = {"first_day": TOMORROW, "last_day": TOMORROW, "reason": "dentist"}
        session.execute(
            insert(DayOffRow).values(instructor_id=people.other_instructor, noted_at=START, **out)
        )


def test_hours_and_days_off_are_said(either: Database, people: cast.Cast) -> None:
    add_session(either, people, starts=time(9), ends=time(11))
    _hours(either, people)
    sheet = _sheet(either)
    assert [(head.name, head.notes) for head in sheet.grid.heads] == [
        ("Ines Heron", ("works 08:30 to 12:00",))
    ]
    gaps = [
        (row.words, placed.until, placed.cell.gap.words)
        for row, placed in sheet.grid.column(0)
        if placed.cell.gap
    ]
    assert gaps == [
        ("08:00", "08:30", "closed"),
        ("08:30", "09:00", "free"),
        ("11:00", "12:00", "free"),
        ("12:00", "17:30", "not working"),
        ("17:30", "18:00", "closed"),
    ]
    assert [(one.words, one.names) for one in sheet.apart] == [("day off", ("Ivor Plover",))]
    assert "dentist" not in repr(sheet)


def test_a_closed_day_says_why(either: Database, people: cast.Cast) -> None:
    with either.writing() as session:
        out = {"first_day": TOMORROW, "last_day": TOMORROW, "reason": "Snow"}
        session.execute(insert(ClosureRow).values(noted_at=START, **out))
    sheet = _sheet(either)
    assert sheet.notes == ("The school is closed: Snow.",)
    assert sheet.grid.rows == ()
    christmas = _sheet(either, date(2026, 12, 25))
    assert christmas.notes == ("The school is closed: Christmas Day.",)


@pytest.mark.parametrize(
    ("day", "hours", "note"),
    [
        (date(2026, 10, 25), 25, "The clock goes back on this day, so it has 25 hours."),
        (date(2027, 3, 28), 23, "The clock goes forward on this day, so it has 23 hours."),
        (date(2028, 2, 29), 24, None),
    ],
)
def test_the_hours_of_a_day_are_the_clocks(
    either: Database, people: cast.Cast, day: date, hours: int, note: str | None
) -> None:
    """With something at both ends of the day all of it is shown."""
    begins = datetime.combine(day, time(0), LONDON)
    ends = datetime.combine(day, time(23), LONDON)
    with either.writing() as session:
        usual = {"yard_id": people.yard, "instructor_id": people.instructor, "places": 1}
        session.execute(
            insert(SessionRow),
            [
                {**usual, "kind": "cbt", "starts_at": at, "ends_at": at + timedelta(hours=1)}
                for at in (begins, ends)
            ],
        )
    sheet = _sheet(either, day)
    assert sum(row.minutes for row in sheet.grid.rows) == hours * 60
    assert sheet.grid.hours == hours
    assert sum(row.on_the_hour for row in sheet.grid.rows) == hours
    assert sheet.notes == ((note,) if note else ())
    free = [p for _, p in sheet.grid.column(0) if p.cell.gap]
    assert [placed.cell.gap.kind for placed in free if placed.cell.gap] == [GapKind.FREE]


@pytest.mark.parametrize("by", list(By))
def test_an_unknown_one_is_missing(either: Database, people: cast.Cast, by: By) -> None:
    with pytest.raises(Missing):
        _sheet(either, showing=Showing(by, 99))
