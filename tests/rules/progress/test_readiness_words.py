"""Chances of passing are said in tenths, with their range."""

from __future__ import annotations

import pytest

from app.rules.progress.readiness import Readiness
from app.rules.progress.readiness_words import in_tenths, rests_on


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
