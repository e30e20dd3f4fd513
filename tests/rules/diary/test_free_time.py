"""What the time of an instructor, a yard or a bike is worth when nothing is in it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest

from app.rules.diary.axis import DAY, day_axis
from app.rules.diary.free_time import (
    OneDay,
    bike_time,
    closed_words,
    instructor_time,
    off_words,
    work_words,
    yard_time,
)
from app.rules.diary.grid import Gap, paint
from app.rules.diary.school_days import ANY_TIME, InstructorDays, SchoolCalendar
from app.rules.people.days import DaysOut, WeeklyHours
from tests.support.clock import LONDON

THURSDAY = date(2026, 11, 26)
SUNDAY = date(2026, 11, 29)
INES, IVOR = 1, 2
WEEK = tuple(WeeklyHours(weekday, time(8, 30), time(17, 30)) for weekday in range(6))
CALENDAR = SchoolCalendar(
    hours=WEEK,
    closures=(DaysOut(date(2026, 11, 27), date(2026, 11, 27), "Resurfacing", 7),),
    holidays={date(2026, 12, 25): "Christmas Day"},
    instructors={
        INES: InstructorDays(
            "Ines",
            hours=(
                WeeklyHours(3, time(9), time(12)),
                WeeklyHours(3, time(13), time(18)),
            ),
        ),
        IVOR: InstructorDays("Ivor", days_off=(DaysOut(THURSDAY, THURSDAY, "dentist"),)),
    },
)


def _day(day: date = THURSDAY, calendar: SchoolCalendar = CALENDAR) -> OneDay:
    own = day_axis(day, LONDON)
    return OneDay(day, own, own, calendar, LONDON)


def _said(layers: tuple[Gap, ...]) -> list[tuple[int, int, str]]:
    return [(g.begins, g.ends, g.words) for g in paint(layers, 0, DAY)]


def test_an_instructor_is_free_when_they_work_and_the_school_is_open() -> None:
    assert _said(instructor_time(_day(), INES)) == [
        (0, 510, "closed"),
        (510, 540, "not working"),
        (540, 720, "free"),
        (720, 780, "not working"),
        (780, 1050, "free"),
        (1050, DAY, "closed"),
    ]
    assert work_words(_day(), INES) == "works 09:00 to 12:00 and 13:00 to 18:00"


def test_a_day_off_is_said_without_its_reason() -> None:
    assert off_words(_day(), IVOR) == "day off"
    assert off_words(_day(date(2026, 11, 28)), IVOR) is None
    assert off_words(_day(date(2026, 11, 28)), INES) == "does not work on a Saturday"


@pytest.mark.parametrize(
    ("day", "yard", "words"),
    [
        (THURSDAY, None, None),
        (SUNDAY, None, "closed on a Sunday"),
        (date(2026, 12, 25), None, "closed: Christmas Day"),
        (date(2026, 11, 27), None, None),
        (date(2026, 11, 27), 7, "closed: Resurfacing"),
        (date(2026, 11, 27), 8, None),
    ],
)
def test_why_the_school_or_a_yard_is_closed(day: date, yard: int | None, words: str | None) -> None:
    assert closed_words(_day(day), yard) == words


def test_a_bank_holiday_closes_no_school_that_is_open_on_it() -> None:
    friday_off = tuple(each for each in WEEK if each.weekday != 4)
    calendar = replace(CALENDAR, hours=friday_off, open_on_bank_holidays=True)
    assert closed_words(_day(date(2026, 12, 25), calendar)) == "closed on a Friday"


def test_a_yard_and_a_bike_are_free_while_the_school_is_open_and_they_are_in_use() -> None:
    opened = [(0, 510, "closed"), (510, 1050, "free"), (1050, DAY, "closed")]
    assert _said(yard_time(_day(), 7, in_use=True)) == opened
    assert _said(yard_time(_day(date(2026, 11, 27)), 7, in_use=True)) == [(0, DAY, "closed")]
    assert _said(yard_time(_day(), 7, in_use=False)) == [(0, DAY, "closed")]
    assert _said(bike_time(_day(), on_the_road=True)) == opened
    assert _said(bike_time(_day(), on_the_road=False))[1] == (510, 1050, "off the road")


def test_a_school_that_has_said_nothing_shows_usual_hours_and_is_free() -> None:
    one = _day(calendar=ANY_TIME)
    assert one.open_hours() == (540, 1020)
    assert _said(instructor_time(one, INES)) == [(0, DAY, "free")]
    assert _day().open_hours() == (510, 1050)
    assert _day(SUNDAY).open_hours() == (540, 1020)
