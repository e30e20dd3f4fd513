"""What is said of the chance of passing against the truth of simulated riders.

The riders of neither cohort learn, forget or err in the way that the model thinks.
The school has seen 200 others and their results before it speaks of a thousand.
Stated: a range of four in five. Asked: that it holds the truth of 75 to 88 in 100,
and that of those said to be ready as many pass as was said, give or take 5 in 100.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from app.rules.progress.readiness import Readiness
from tests.rules.progress import cohort, lapses
from tests.rules.progress.school import new_school, old_school
from tests.rules.progress.test_readiness import truth

PAST, NOW = range(100_000, 100_200), range(1000)
READY = 0.7
"""From where a rider is called ready in these tests."""

Found = list[tuple[Readiness, float]]


@cache
def _by_rate() -> Found:
    """Riders whose faults come at a rate, see the cohort."""
    school = old_school(cohort.BEGUN, [cohort.rider(seed) for seed in PAST], truth)
    riders = [cohort.rider(seed) for seed in NOW]
    return [(school.says(one), truth(one)) for one in riders]


@cache
def _by_lapses() -> Found:
    """Riders with lapses, moods and a measured speed."""
    past = [lapses.rider(seed) for seed in PAST]
    school = old_school(lapses.BEGUN, past, lapses.Rider.pass_chance)
    riders = [lapses.rider(seed) for seed in NOW]
    return [(school.says(one), one.pass_chance()) for one in riders]


def _inside(found: Found) -> float:
    return sum(said.low <= true <= said.high for said, true in found) / len(found)


def _off(found: Found, ready: float = READY) -> float:
    """How many more of the ready pass than was said, as a share of them."""
    chosen = [(said.chance, true) for said, true in found if said.chance >= ready]
    return sum(true - said for said, true in chosen) / len(chosen)


@pytest.mark.slow
def test_the_range_holds_the_truth_of_four_riders_in_five() -> None:
    assert 0.75 <= _inside(_by_rate()) <= 0.88


@pytest.mark.slow
def test_riders_with_lapses_and_moods_are_held_at_least_as_often_as_claimed() -> None:
    """More often than claimed: the allowance for misfit is made for both cohorts."""
    assert 0.75 <= _inside(_by_lapses()) <= 0.95


@pytest.mark.slow
@pytest.mark.parametrize("cohort_of", [_by_rate, _by_lapses])
def test_as_many_of_the_ready_pass_as_was_said(cohort_of: Callable[[], Found]) -> None:
    assert abs(_off(cohort_of())) <= 0.05


@pytest.mark.slow
def test_the_cohort_with_lapses_passes_about_as_often_as_the_nation() -> None:
    """74.5 % in 2021/22 (national driving-test statistics, as reported in the press)."""
    chances = [true for _, true in _by_lapses()]
    assert sum(chances) / len(chances) == pytest.approx(0.745, abs=0.03)


@pytest.mark.slow
def test_a_school_that_has_seen_nobody_is_careful_and_not_rash() -> None:
    """Before its own rides and results a school is told too little rather than too much."""
    school = new_school(lapses.BEGUN)
    found = [(school.says(one), one.pass_chance()) for one in map(lapses.rider, range(200))]
    rash = sum(true < said.low for said, true in found) / len(found)
    assert rash <= 0.1
    assert 0.0 <= _off(found) <= 0.12
