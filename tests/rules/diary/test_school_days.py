"""When the school is open and its instructors work, over midnights and both clock changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.diary.facts import Span
from app.rules.diary.school_days import (
    ANY_TIME,
    InstructorDays,
    SchoolCalendar,
    open_spans,
    open_warnings,
    why_not_open,
    why_not_working,
    working_spans,
)
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.refusal import Reason
from tests.rules.diary.facts import DAY, LONDON, YARD, span

FORWARD = date(2027, 3, 28)  # the last Sunday of March: 01:00 becomes 02:00
BACK = date(2026, 10, 25)  # the last Sunday of October: 02:00 becomes 01:00
LEAP = date(2028, 2, 29)  # a Tuesday
THURSDAY = DAY.weekday()
NINE_TO_FIVE = WeeklyHours(THURSDAY, time(9), time(17))
OPEN = SchoolCalendar(hours=(NINE_TO_FIVE,))
INES = InstructorDays("Ines Heron")


def _open(times: str, calendar: SchoolCalendar = OPEN, day: date = DAY) -> list[str]:
    return [r.sentence for r in why_not_open(span(times, day), YARD, calendar, LONDON)]


def _fields(reasons: tuple[Reason, ...]) -> list[str]:
    return [reason.field for reason in reasons]


def _every_day(begins: time, ends: time) -> tuple[WeeklyHours, ...]:
    return tuple(WeeklyHours(weekday, begins, ends) for weekday in range(7))


def test_a_school_that_has_said_nothing_is_open_at_any_time() -> None:
    assert _open("00:00-23:59", ANY_TIME) == []
    (whole,) = open_spans(DAY, ANY_TIME, LONDON)
    assert whole.ends_at - whole.starts_at == timedelta(hours=24)


@pytest.mark.parametrize("times", ["09:00-17:00", "09:00-09:15", "16:45-17:00"])
def test_a_session_lies_within_the_opening_hours(times: str) -> None:
    assert _open(times) == []


@pytest.mark.parametrize(
    ("times", "field"),
    [("08:59-10:00", "starts"), ("16:00-17:01", "ends"), ("17:00-18:00", "starts")],
)
def test_one_that_does_not_is_refused_where_it_sticks_out(times: str, field: str) -> None:
    reasons = why_not_open(span(times), YARD, OPEN, LONDON)
    assert reasons == (Reason("The school is open from 09:00 to 17:00 on a Thursday.", field),)


def test_a_weekday_without_hours_is_closed() -> None:
    friday = DAY + timedelta(days=1)
    assert _open("10:00-11:00", OPEN, friday) == ["The school is closed on a Friday."]
    assert open_spans(friday, OPEN, LONDON) == ()


def test_a_closure_of_the_school_closes_every_yard_with_its_reason() -> None:
    closed = replace(OPEN, closures=(DaysOut(DAY, DAY + timedelta(days=2), "Frost."),))
    said = ["The school is closed from Thu 3 Dec 2026 to Sat 5 Dec 2026: Frost."]
    assert _open("10:00-11:00", closed) == said
    assert open_spans(DAY, closed, LONDON, YARD.id) == ()


def test_a_closure_of_one_yard_leaves_the_others_open() -> None:
    closed = replace(OPEN, closures=(DaysOut(DAY, DAY, "New markings", yard_id=7),))
    assert _open("10:00-11:00", closed) == []
    assert open_spans(DAY, closed, LONDON)
    long_yard = replace(YARD, id=7)
    reasons = why_not_open(span("10:00-11:00"), long_yard, closed, LONDON)
    assert reasons == (Reason("Long yard is closed on Thu 3 Dec 2026: New markings.", "yard_id"),)
    assert open_spans(DAY, closed, LONDON, 7) == ()


def test_a_bank_holiday_is_closed_unless_the_school_says_otherwise() -> None:
    holiday = replace(OPEN, holidays={DAY: "Saint Nobody’s Day"})
    assert _open("10:00-11:00", holiday) == [
        "Thu 3 Dec 2026 is a bank holiday (Saint Nobody’s Day), and the school is closed then."
    ]
    assert open_warnings(span("10:00-11:00"), holiday, LONDON) == ()
    kept_open = replace(holiday, open_on_bank_holidays=True)
    assert _open("10:00-11:00", kept_open) == []
    assert open_warnings(span("10:00-11:00"), kept_open, LONDON) == (
        "Thu 3 Dec 2026 is a bank holiday (Saint Nobody’s Day). "
        "The school’s settings say that it is open.",
    )


def test_an_instructor_without_hours_works_whenever_the_school_is_open() -> None:
    assert why_not_working(span("03:00-04:00"), INES, LONDON) == ()
    assert len(working_spans(DAY, INES, LONDON)) == 1


def test_an_instructor_works_in_their_own_hours() -> None:
    halves = (
        WeeklyHours(THURSDAY, time(9), time(12, 30)),
        WeeklyHours(THURSDAY, time(13, 30), time(17)),
    )
    works = replace(INES, hours=halves)
    assert why_not_working(span("13:30-17:00"), works, LONDON) == ()
    reasons = why_not_working(span("12:00-13:00"), works, LONDON)
    assert reasons == (
        Reason(
            "Ines Heron works from 09:00 to 12:30 and from 13:30 to 17:00 on a Thursday.", "ends"
        ),
    )
    friday = span("09:00-10:00", DAY + timedelta(days=1))
    (reason,) = why_not_working(friday, works, LONDON)
    assert reason == Reason("Ines Heron does not work on a Friday.", "instructor_id")


def test_hours_that_touch_are_one_time() -> None:
    halves = (
        WeeklyHours(THURSDAY, time(12), time(17)),
        WeeklyHours(THURSDAY, time(9), time(12)),
    )
    works = replace(INES, hours=halves)
    assert len(working_spans(DAY, works, LONDON)) == 1
    assert why_not_working(span("11:00-13:00"), works, LONDON) == ()


def test_a_day_off_is_refused_without_saying_why_it_is_one() -> None:
    off = replace(INES, days_off=(DaysOut(DAY, DAY, "A private matter"),))
    (reason,) = why_not_working(span("10:00-11:00"), off, LONDON)
    assert reason == Reason("Ines Heron is off on Thu 3 Dec 2026.", "instructor_id")
    assert working_spans(DAY, off, LONDON) == ()
    assert why_not_working(span("10:00-11:00", DAY + timedelta(days=1)), off, LONDON) == ()


def test_a_session_over_midnight_needs_both_days() -> None:
    night = Span(datetime(2026, 12, 3, 23, tzinfo=UTC), datetime(2026, 12, 4, 1, tzinfo=UTC))
    late = SchoolCalendar(hours=_every_day(time(0), time(23, 59)))
    assert _fields(why_not_open(night, YARD, late, LONDON)) == ["ends"]
    closed = replace(ANY_TIME, closures=(DaysOut(date(2026, 12, 4), date(2026, 12, 4), "Frost"),))
    assert len(why_not_open(night, YARD, closed, LONDON)) == 1
    assert why_not_open(night, YARD, ANY_TIME, LONDON) == ()


def test_the_leap_day_has_its_weekday_and_its_closures() -> None:
    tuesday = SchoolCalendar(hours=(WeeklyHours(LEAP.weekday(), time(9), time(17)),))
    assert _open("09:00-17:00", tuesday, LEAP) == []
    out = DaysOut(date(2028, 2, 28), date(2028, 3, 1), "Frost")
    assert _open("09:00-17:00", replace(tuesday, closures=(out,)), LEAP) == [
        "The school is closed from Mon 28 Feb 2028 to Wed 1 Mar 2028: Frost."
    ]


@pytest.mark.parametrize(("day", "hours"), [(FORWARD, 23), (BACK, 25), (LEAP, 24)])
def test_a_day_without_hours_is_open_as_long_as_it_is(day: date, hours: int) -> None:
    (whole,) = open_spans(day, ANY_TIME, LONDON)
    assert whole.ends_at - whole.starts_at == timedelta(hours=hours)


@pytest.mark.parametrize(
    ("day", "begins", "ends", "hours"),
    [
        (FORWARD, time(0), time(3), 2),
        (FORWARD, time(1, 30), time(3), 1),  # 01:30 is skipped, so it begins at 02:00
        (FORWARD, time(0), time(1, 30), 1),  # and here it ends as the clock jumps
        (BACK, time(0), time(3), 4),
        (BACK, time(1, 30), time(3), 2.5),  # from the first 01:30
        (BACK, time(0), time(1, 30), 2.5),  # to the second
        (date(2026, 10, 26), time(0), time(3), 3),
    ],
)
def test_opening_hours_on_the_day_of_a_clock_change(
    day: date, begins: time, ends: time, hours: float
) -> None:
    night = SchoolCalendar(hours=_every_day(begins, ends))
    (spanned,) = open_spans(day, night, LONDON)
    assert spanned.ends_at - spanned.starts_at == timedelta(hours=hours)


@pytest.mark.parametrize("day", [FORWARD, BACK, DAY])
def test_nine_to_five_is_eight_hours_on_every_day(day: date) -> None:
    """Both changes of the clock come before nine, and leave a day of training as it is."""
    calendar = SchoolCalendar(hours=_every_day(time(9), time(17)))
    (spanned,) = open_spans(day, calendar, LONDON)
    assert spanned.ends_at - spanned.starts_at == timedelta(hours=8)
    assert spanned.starts_at.astimezone(LONDON).time() == time(9)
    assert why_not_open(spanned, YARD, calendar, LONDON) == ()
    early = Span(spanned.starts_at - timedelta(minutes=1), spanned.ends_at)
    assert _fields(why_not_open(early, YARD, calendar, LONDON)) == ["starts"]


CLOCKS = st.times().map(lambda clock: clock.replace(second=0, microsecond=0))
DAYS = st.sampled_from([FORWARD, BACK, LEAP, DAY]) | st.dates(date(2026, 1, 1), date(2030, 1, 1))


@st.composite
def _weeks(draw: st.DrawFn) -> tuple[WeeklyHours, ...]:
    pairs = draw(st.lists(st.tuples(st.integers(0, 6), CLOCKS, CLOCKS), max_size=8))
    return tuple(WeeklyHours(day, *sorted(ends)) for day, *ends in pairs if ends[0] != ends[1])


@given(DAYS, _weeks())
def test_open_spans_are_in_order_apart_and_within_their_day(
    day: date, hours: tuple[WeeklyHours, ...]
) -> None:
    spans = open_spans(day, SchoolCalendar(hours=hours), LONDON)
    for one in spans:
        assert one.starts_at.astimezone(LONDON).date() == day
        assert one.starts_at <= one.ends_at
    for one, other in pairwise(spans):
        assert one.ends_at < other.starts_at


@given(DAYS, _weeks(), st.integers(0, 24 * 60), st.integers(1, 600))
def test_a_session_stands_exactly_where_every_minute_of_it_is_open(
    day: date, hours: tuple[WeeklyHours, ...], begins: int, minutes: int
) -> None:
    calendar = SchoolCalendar(hours=hours)
    midnight = datetime.combine(day, time(), LONDON).astimezone(UTC)
    wanted = Span(
        midnight + timedelta(minutes=begins), midnight + timedelta(minutes=begins + minutes)
    )
    around = [day + timedelta(days=n) for n in range(-1, 3)]
    spans = [one for each in around for one in open_spans(each, calendar, LONDON)]
    moments = (wanted.starts_at + timedelta(minutes=n) for n in range(minutes))
    every = all(any(s.starts_at <= m < s.ends_at for s in spans) for m in moments)
    assert (why_not_open(wanted, YARD, calendar, LONDON) == ()) is every


@given(DAYS, _weeks(), st.integers(0, 24 * 60), st.integers(1, 600))
def test_an_instructor_and_a_school_with_the_same_hours_agree(
    day: date, hours: tuple[WeeklyHours, ...], begins: int, minutes: int
) -> None:
    midnight = datetime.combine(day, time(), LONDON).astimezone(UTC)
    wanted = Span(
        midnight + timedelta(minutes=begins), midnight + timedelta(minutes=begins + minutes)
    )
    school = why_not_open(wanted, YARD, SchoolCalendar(hours=hours), LONDON)
    works = why_not_working(wanted, replace(INES, hours=hours), LONDON)
    assert bool(school) is bool(works)
