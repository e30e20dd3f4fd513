"""What a whole test is expected to come to, exercise by exercise."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.progress.expected_record import expected_record
from app.rules.progress.readiness import Belief, Manoeuvre, Shared, pass_chance, readiness
from app.rules.progress.splits import FaultCounts, Split, split

SHARED = Shared(form=0.0, general_variance=0.1, form_variance=0.2, ceiling=0.95)
SPLIT = Split(serious=0.25, again=0.1, rests_on=30.0)
STOP, AVOIDANCE = 2, 3
LEFT_OUT = {AVOIDANCE: STOP}
LEVELS = st.lists(st.floats(-2, 3), min_size=4, max_size=4)


def course(levels: list[float], shares: Split = SPLIT) -> list[Manoeuvre]:
    return [Manoeuvre(n, (Belief(level, 0.1, shares),)) for n, level in enumerate(levels)]


@given(LEVELS)
def test_a_test_passes_or_fails_in_one_of_two_ways(levels: list[float]) -> None:
    record = expected_record(course(levels), SHARED, LEFT_OUT)
    assert record.passed + record.serious + record.too_many == pytest.approx(1.0, abs=1e-9)
    assert min(record.passed, record.serious, record.too_many) >= 0.0
    assert record.riding <= sum(one.riding for one in record.exercises) + 1e-12


@given(LEVELS)
def test_the_avoidance_is_ridden_as_often_as_the_emergency_stop_holds(levels: list[float]) -> None:
    record = expected_record(course(levels), SHARED, LEFT_OUT)
    stop, avoidance = record.exercises[STOP], record.exercises[AVOIDANCE]
    assert stop.ridden == pytest.approx(1.0)
    assert avoidance.ridden == pytest.approx(1.0 - stop.serious)


def test_leaving_it_out_changes_the_record_and_not_the_chance() -> None:
    levels = [2.0, 1.0, -1.0, 0.0]
    stopped = expected_record(course(levels), SHARED, LEFT_OUT)
    all_ridden = expected_record(course(levels), SHARED, {})
    assert stopped.passed == all_ridden.passed == pass_chance(course(levels), SHARED)
    assert stopped.riding < all_ridden.riding


def test_who_holds_the_stop_on_a_good_day_rides_the_avoidance_better_than_on_all_days() -> None:
    """The form is shared: the avoidance is ridden on the better days."""
    levels = [2.0, 1.0, -1.0, 0.0]
    wide = replace(SHARED, form_variance=2.0)
    stopped = expected_record(course(levels), wide, LEFT_OUT).exercises[AVOIDANCE]
    assert stopped.serious < expected_record(course(levels), wide, {}).exercises[AVOIDANCE].serious


def test_the_costliest_exercise_is_where_a_serious_fault_is_most_likely_to_be_seen() -> None:
    record = expected_record(course([1.0, -1.0, 2.0, 0.5]), SHARED, LEFT_OUT)
    assert record.costliest.manoeuvre_id == 1


def test_a_record_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        expected_record([], SHARED, {})


@given(LEVELS, st.integers(0, 20), st.integers(0, 20), st.integers(1, 10))
def test_more_serious_faults_never_raise_the_chance(
    levels: list[float], serious: int, riding: int, more: int
) -> None:
    seen = FaultCounts(serious=serious, riding=riding)
    worse = replace(seen, serious=serious + more)
    before, after = (split(FaultCounts(), each) for each in (seen, worse))
    chance = pass_chance(course(levels, before), SHARED)
    assert pass_chance(course(levels, after), SHARED) <= chance + 1e-12


@given(LEVELS)
def test_mastering_a_manoeuvre_never_lowers_the_chance(levels: list[float]) -> None:
    found = readiness(course(levels), SHARED)
    assert all(gain.rise >= 0.0 for gain in found.gains)
    best = course(levels)
    best[1] = replace(best[1], variants=(replace(best[1].variants[0], level=5.0),))
    assert pass_chance(best, SHARED) >= pass_chance(course(levels), SHARED)
