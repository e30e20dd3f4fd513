"""The chance of passing the whole test: what moves it, and how honest its range is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.progress.readiness import Belief, Manoeuvre, Shared, pass_chance, readiness
from app.rules.progress.splits import FaultCounts, Split, split
from tests.rules.progress.cohort import BEGUN, rider
from tests.rules.progress.school import new_school

SPLIT = Split(serious=0.25, again=0.0, rests_on=20.0)
SHARED = Shared(form=0.0, general_variance=0.2, form_variance=0.4, ceiling=0.95)


def manoeuvres(*levels: float, own_variance: float = 0.1) -> list[Manoeuvre]:
    """Manoeuvres of one variant each at these levels."""
    return [
        Manoeuvre(number, (Belief(level, own_variance, SPLIT),))
        for number, level in enumerate(levels, start=1)
    ]


@given(st.lists(st.floats(-3, 3), min_size=1, max_size=9), st.floats(0.1, 2.0))
def test_a_better_rider_has_a_better_chance(levels: list[float], better: float) -> None:
    worse_one = readiness(manoeuvres(*levels), SHARED)
    better_one = readiness(manoeuvres(levels[0] + better, *levels[1:]), SHARED)
    assert better_one.chance > worse_one.chance
    assert worse_one.low < worse_one.chance < worse_one.high


def test_the_weakest_manoeuvre_costs_most() -> None:
    found = readiness(manoeuvres(2.0, -1.0, 1.0), SHARED)
    assert [gain.manoeuvre_id for gain in found.gains] == [2, 3, 1]
    assert found.chance + found.gains[0].rise < 1.0


def test_one_manoeuvre_more_can_only_lower_the_chance() -> None:
    three = readiness(manoeuvres(1.0, 1.0, 1.0), SHARED)
    assert readiness(manoeuvres(1.0, 1.0, 1.0, 2.0), SHARED).chance < three.chance


def test_the_examiner_may_choose_either_side_of_the_avoidance() -> None:
    left, right = Belief(2.0, 0.1, SPLIT), Belief(-1.0, 0.1, SPLIT)
    both = readiness([Manoeuvre(1, (left, right))], SHARED).chance
    each = [readiness([Manoeuvre(1, (side,))], SHARED).chance for side in (left, right)]
    assert both == pytest.approx(sum(each) / 2)


def test_the_range_is_wider_the_less_is_known() -> None:
    def width(shared: Shared, own_variance: float) -> float:
        found = readiness(manoeuvres(1.0, 1.0, 1.0, own_variance=own_variance), shared)
        return found.high - found.low

    known = width(replace(SHARED, general_variance=0.02), 0.02)
    assert known < width(replace(SHARED, general_variance=0.5), 0.02)
    assert known < width(replace(SHARED, general_variance=0.02), 0.4)


def test_what_there_is_to_win_is_the_chance_with_that_manoeuvre_at_its_best() -> None:
    course = manoeuvres(2.0, -1.0, 1.0)
    best = replace(course[1], variants=(Belief(6.0, 0.0, SPLIT),))
    risen = pass_chance([course[0], best, course[2]], SHARED)
    found = readiness(course, SHARED)
    assert found.chance == pytest.approx(pass_chance(course, SHARED), abs=1e-12)
    assert found.gains[0].rise == pytest.approx(risen - found.chance, abs=1e-12)


def test_a_test_without_manoeuvres_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        readiness([], SHARED)


def test_the_school_moves_the_guess_and_the_student_moves_the_school() -> None:
    school = FaultCounts(serious=300, riding=300)
    assert split(FaultCounts(), FaultCounts()).serious == pytest.approx(0.25)
    assert split(school, FaultCounts()).serious == pytest.approx(0.5, abs=0.01)
    assert split(school, FaultCounts(riding=10)).serious == pytest.approx(0.25, abs=0.01)
    slow = split(school, FaultCounts(again=5))
    assert slow.again == pytest.approx(1 / 3)
    assert slow.with_serious(0.0).again > slow.again


@pytest.mark.slow
def test_the_range_holds_the_truth_about_as_often_as_it_claims() -> None:
    """A thousand riders who learn, forget and err in another way than the model thinks."""
    school = new_school(BEGUN)
    found = [school.forecast(rider(seed)) for seed in range(1000)]
    said = [(one.told(), one.truth) for one in found]
    assert 750 <= sum(ready.low <= truth <= ready.high for ready, truth in said) <= 880
