"""Chances of passing are said in tenths, with their range."""

from __future__ import annotations

import pytest

from app.rules.progress.readiness import Gain, Readiness
from app.rules.progress.readiness_words import (
    NOT_A_PROMISE,
    in_hundred,
    in_tenths,
    rests_on,
    rise_words,
    to_student,
)


@pytest.mark.parametrize(
    ("chance", "low", "high", "words"),
    [
        (0.71, 0.52, 0.84, "about 7 in 10 on what we have seen; between 5 and 8"),
        (0.07, 0.01, 0.22, "less than 1 in 10 on what we have seen; between 0 and 2"),
        (0.93, 0.81, 0.98, "more than 9 in 10 on what we have seen; between 8 and 10"),
        (0.50, 0.49, 0.51, "about 5 in 10 on what we have seen"),
    ],
)
def test_a_chance_is_said_in_tenths(chance: float, low: float, high: float, words: str) -> None:
    assert in_tenths(Readiness(chance, low, high, ())) == words


def test_it_is_said_how_many_results_stand_behind_the_chances() -> None:
    assert rests_on(0) == "not yet checked against real results"
    assert rests_on(1) == "checked against 1 real result"
    assert rests_on(12) == "checked against 12 real results"


def test_instructors_are_told_in_hundredths() -> None:
    assert in_hundred(Readiness(0.616, 0.41, 0.79, ())) == "62 in 100; between 41 and 79"
    assert rise_words(Gain(1, 0.094)) == "9 in 100 more"
    assert rise_words(Gain(1, 0.004)) == "less than 1 in 100 more"


def test_a_student_is_told_a_figure_only_when_it_can_be_of_use() -> None:
    ready = Readiness(0.71, 0.52, 0.84, ())
    assert to_student(ready, 1) == "There is still one manoeuvre of the test to try first."
    assert to_student(ready, 4) == "There are still 4 manoeuvres of the test to try first."
    assert to_student(ready, 0) == f"Were the test today: {in_tenths(ready)}. {NOT_A_PROMISE}"
    low = to_student(Readiness(0.12, 0.04, 0.3, ()), 0)
    assert not any(letter.isdigit() for letter in low)
