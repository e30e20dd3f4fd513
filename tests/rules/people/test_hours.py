"""Hours of the week as people type them."""

from __future__ import annotations

from datetime import date, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.people.authorisations import Authorisation, InstructorFacts, why_not_instructor
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.people.days_out import why_not_out
from app.rules.people.hours import hours_typed, hours_version, hours_words, week_words
from app.rules.refusal import Refused

TODAY = date(2026, 11, 26)
MORNING = WeeklyHours(1, time(9), time(12, 30))
AFTERNOON = WeeklyHours(1, time(13, 30), time(17))


def _refusal(text: str, most: int | None = None) -> tuple[str, str]:
    with pytest.raises(Refused) as refused:
        hours_typed({1: text}, most=most)
    (reason,) = refused.value.reasons
    return reason.sentence, reason.field


@pytest.mark.parametrize(
    "text",
    [
        "09:00 to 12:30, 13:30 to 17:00",
        "9-12:30, 13:30-17",
        "9.00 – 12.30 and 13.30 – 17.00",
        "0900-1230; 1330-1700",
        "  13:30 TO 17:00 , 9 until 1230 ",
        "9:00-12:30 & 13:30-17:00",
    ],
)
def test_hours_are_read_in_the_ways_that_people_write_them(text: str) -> None:
    assert hours_typed({1: text}) == (MORNING, AFTERNOON)


def test_an_empty_day_is_a_day_of_rest() -> None:
    assert hours_typed({0: "", 1: "9-12:30", 2: "   "}) == (MORNING,)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("always", "Write the hours of Tuesday as 09:00 to 17:00."),
        ("9", "Write the hours of Tuesday as 09:00 to 17:00."),
        ("9-12-17", "Write the hours of Tuesday as 09:00 to 17:00."),
        ("9-12,", "Write the hours of Tuesday as 09:00 to 17:00."),
        ("nine to 17", "“nine” is no time of day. Write the hours as 09:00 to 17:00."),
        ("9-25", "There is no time 25:00."),
        ("9-24:00", "There is no time 24:00."),
        ("9:75-12", "There is no time 9:75."),
        ("17-9", "17:00 to 09:00 does not end after it begins."),
        ("9-9", "09:00 to 09:00 does not end after it begins."),
        ("9-13, 12-17", "09:00 to 13:00 and 12:00 to 17:00 overlap."),
        ("9-17, 10-11", "09:00 to 17:00 and 10:00 to 11:00 overlap."),
        ("٩-١٧", "“٩” is no time of day. Write the hours as 09:00 to 17:00."),
    ],
)
def test_hours_that_cannot_be_are_refused_at_their_day(text: str, sentence: str) -> None:
    assert _refusal(text) == (sentence, "day_1")


def test_one_time_a_day_may_be_all_that_is_allowed() -> None:
    assert _refusal("9-12, 13-17", most=1) == ("Write one time only, as 09:00 to 17:00.", "day_1")


def test_every_day_that_is_wrong_is_told_at_once() -> None:
    with pytest.raises(Refused) as refused:
        hours_typed({0: "x", 1: "9-12", 6: "17-9"})
    assert [reason.field for reason in refused.value.reasons] == ["day_0", "day_6"]


MINUTES = st.lists(st.integers(0, 24 * 60 - 1), min_size=2, max_size=8, unique=True)


@given(st.dictionaries(st.integers(0, 6), MINUTES))
def test_what_is_written_is_read_again_as_it_was(days: dict[int, list[int]]) -> None:
    hours = tuple(
        WeeklyHours(day, *(time(*divmod(minute, 60)) for minute in pair))
        for day, marks in sorted(days.items())
        for pair in zip(*[iter(sorted(marks))] * 2, strict=False)
    )
    typed = {day: hours_words(hours, day) for day in range(7)}
    assert hours_typed(typed) == hours
    assert [words for _, words in week_words(hours)] == list(typed.values())


def test_the_version_of_hours_changes_with_them_alone() -> None:
    both = (MORNING, AFTERNOON)
    assert hours_version(both) == hours_version(reversed(both))
    assert hours_version(both) != hours_version((MORNING,))
    assert hours_version(()) == hours_version([])


def _out(first: int, last: int, reason: str = "Frost") -> list[tuple[str, str]]:
    days = DaysOut(TODAY + timedelta(days=first), TODAY + timedelta(days=last), reason)
    return [(r.field, r.sentence) for r in why_not_out(days, TODAY, needs_reason=True)]


@pytest.mark.parametrize(("first", "last"), [(0, 0), (-3, 0), (1, 366), (731, 731)])
def test_days_that_are_not_over_may_be_written_down(first: int, last: int) -> None:
    assert _out(first, last) == []


@pytest.mark.parametrize(
    ("first", "last", "field", "sentence"),
    [
        (3, 2, "last_day", "That ends before it begins, on Sun 29 Nov 2026. Check both days."),
        (-3, -1, "last_day", "These days are over."),
        (0, 366, "last_day", "That is longer than a year. Check both days."),
        (732, 732, "first_day", "This day is more than two years ahead. Check the year."),
    ],
)
def test_days_that_cannot_be_are_refused(first: int, last: int, field: str, sentence: str) -> None:
    assert _out(first, last) == [(field, sentence)]


def test_a_closure_says_why_and_a_day_off_need_not() -> None:
    assert _out(0, 0, "")[0][0] == "reason"
    assert why_not_out(DaysOut(TODAY, TODAY), TODAY, needs_reason=False) == ()


def test_an_instructor_has_a_name_and_authorisations_of_this_century() -> None:
    lapsed = {Authorisation.CBT: TODAY - timedelta(days=400)}
    assert why_not_instructor(InstructorFacts("Ines Heron", (), lapsed), TODAY) == ()
    far = {Authorisation.CBT: date(2206, 1, 1), Authorisation.DIRECT_ACCESS: None}
    reasons = why_not_instructor(InstructorFacts(" ", (), far), TODAY)
    assert [reason.field for reason in reasons] == ["name", "cbt_until"]
