"""Reasons in words: facts for instructors, kind and honest words for students."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.progress.parameters import Parameters
from app.rules.progress.target import Standing
from app.rules.progress.words import (
    STANDING_WORDS,
    FaultTally,
    days_ago,
    fault_words,
    for_instructor,
    for_student,
)
from tests.rules.progress.made import EASY, HARD, standing_after

CONE = FaultTally("a cone touched", 2, left=2)
WORDS = st.lists(st.text("01", min_size=1, max_size=4), min_size=1, max_size=5).map(" ".join)


def test_an_instructor_reads_the_record_the_faults_and_the_days() -> None:
    found = standing_after("1 01 00", days=12)
    assert for_instructor(found, [CONE]).startswith(
        "2 of the last 5 clean; a cone touched twice, both to the left; "
    )
    assert for_instructor(found, [CONE]).endswith("; last ridden 12 days ago.")


def test_a_student_reads_the_same_in_the_second_person() -> None:
    assert for_student(standing_after("1 01 00", days=1), [CONE]) == (
        "2 of your last 5 were clean; a cone touched twice, both to the left; "
        "one clean ride is the next step; you last rode it yesterday."
    )


@pytest.mark.parametrize(
    ("words", "days", "instructor", "student"),
    [
        ("", 0, "Not ridden yet.", "You have not ridden this one yet."),
        ("11 1", 0, "The last 3 all clean; last ridden today.", None),
        (
            "111",
            1,
            "The last 3 all clean; the clean run covers 1 session, 2 asked; last ridden yesterday.",
            "Your last 3 were all clean; ride it clean again in another session; "
            "you last rode it yesterday.",
        ),
        (
            "1 1",
            0,
            "The last 2 all clean; 3 in a row asked; last ridden today.",
            "Your last 2 were all clean; 1 more clean ride in a row to go; you last rode it today.",
        ),
        (
            "11 1",
            30,
            "The last 3 all clean; more than 21 days without a ride of it; "
            "last ridden 30 days ago.",
            "Your last 3 were all clean; it has been 30 days, so ride it again soon.",
        ),
    ],
)
def test_each_reason_has_its_words(
    words: str, days: int, instructor: str, student: str | None
) -> None:
    found = standing_after(words, days)
    assert for_instructor(found) == instructor
    assert student is None or for_student(found) == student


def test_a_low_chance_is_a_percentage_for_instructors_only() -> None:
    found = standing_after("11 1", parameters=HARD)
    assert "% likely to be clean next time, 80 % asked" in for_instructor(found)
    assert "a few more clean rides make it more certain" in for_student(found)


@pytest.mark.parametrize(
    ("tally", "expected"),
    [
        (FaultTally("a foot down", 1), "a foot down once"),
        (FaultTally("a cone touched", 1, right=1), "a cone touched once, to the right"),
        (CONE, "a cone touched twice, both to the left"),
        (FaultTally("a cone touched", 3, left=3), "a cone touched 3 times, all to the left"),
        (
            FaultTally("a cone touched", 3, left=1, right=2),
            "a cone touched 3 times, 1 to the left and 2 to the right",
        ),
        (
            FaultTally("a cone touched", 4, right=2),
            "a cone touched 4 times, 2 of them to the right",
        ),
    ],
)
def test_faults_are_counted_with_their_side(tally: FaultTally, expected: str) -> None:
    assert fault_words(tally) == expected


def test_days_are_said_as_people_say_them() -> None:
    assert [days_ago(days) for days in (0, 1, 2)] == ["today", "yesterday", "2 days ago"]


def test_every_standing_has_its_words() -> None:
    assert set(STANDING_WORDS) == set(Standing)


@given(WORDS, st.integers(0, 60), st.sampled_from([EASY, HARD]))
def test_students_are_neither_promised_nor_discouraged_nor_given_a_percentage(
    words: str, days: int, parameters: Parameters
) -> None:
    text = for_student(standing_after(words, days, parameters))
    assert re.fullmatch(r"[A-Z0-9][^%!]*\.", text)
    assert not re.search(r"\b(will|guarantee|fail|failed|bad|poor|never|none|not clean)\b", text)
