"""One ride: how its speed and its faults are marked."""

from __future__ import annotations

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.riding.marking import (
    FROM_BEST_TO_WORST,
    SpeedResult,
    SpeedVerdict,
    counts_as_evidence,
    is_clean,
    judge_speed,
    mark,
)
from app.rules.riding.values import Outcome, SeenFault, Severity
from tests.rules.riding.strategies import (
    fault_lists,
    minimums,
    seen_faults,
    speed_verdicts,
    speeds,
)

REMARK = SeenFault("looked_down", Severity.REMARK)
RIDING = SeenFault("wobble", Severity.RIDING)
SERIOUS = SeenFault("cone_touched", Severity.SERIOUS)
DANGEROUS = SeenFault("machine_dropped", Severity.DANGEROUS)

TOO_SLOW = judge_speed(40.0, 50.0, second_try=False)
UNMEASURED = judge_speed(None, 50.0, second_try=False)
FAST_ENOUGH = judge_speed(52.0, 50.0, second_try=False)


def rank(outcome: Outcome) -> int:
    return FROM_BEST_TO_WORST.index(outcome)


def test_every_outcome_has_its_place_from_best_to_worst() -> None:
    assert sorted(FROM_BEST_TO_WORST) == sorted(Outcome)


def test_a_manoeuvre_without_a_minimum_is_met_at_any_speed() -> None:
    assert judge_speed(3.0, None, second_try=False).result is SpeedResult.NO_MINIMUM
    assert judge_speed(None, None, second_try=False).result is SpeedResult.NO_MINIMUM


def test_a_second_try_that_reaches_the_minimum_is_met() -> None:
    assert judge_speed(50.0, 50.0, second_try=True).result is SpeedResult.MET


def test_a_speed_that_nobody_measured_is_not_judged() -> None:
    verdict = judge_speed(None, 50.0, second_try=False)
    assert verdict.result is SpeedResult.NOT_MEASURED
    assert "not measured" in verdict.reason


@pytest.mark.parametrize("speed", [-1.0, nan, inf])
def test_a_speed_that_is_no_speed_is_refused(speed: float) -> None:
    with pytest.raises(ValueError, match="speed"):
        judge_speed(speed, 50.0, second_try=False)


def test_the_reason_gives_the_speed_the_minimum_and_what_follows() -> None:
    assert judge_speed(48.5, 50.0, second_try=False).reason == (
        "48.5 km/h (30 mph): under the minimum of 50 km/h (31 mph), but by no more than"
        " 2 km/h: a riding fault."
    )
    assert TOO_SLOW.reason == (
        "40 km/h (25 mph): too far under the minimum of 50 km/h (31 mph). Ride it again."
    )


def test_a_speed_just_short_is_never_written_as_reached() -> None:
    assert judge_speed(49.99, 50.0, second_try=False).reason.startswith("49.9 km/h")


@given(speeds, speeds, minimums, st.booleans())
def test_riding_faster_never_gives_a_worse_speed_verdict(
    one: float, other: float, minimum: float | None, second_try: bool
) -> None:
    slow, fast = sorted((one, other))
    slower = mark((), judge_speed(slow, minimum, second_try))
    faster = mark((), judge_speed(fast, minimum, second_try))
    assert rank(faster) <= rank(slower)


@given(speeds, minimums)
def test_a_second_try_is_never_judged_more_kindly(speed: float, minimum: float | None) -> None:
    first = mark((), judge_speed(speed, minimum, second_try=False))
    second = mark((), judge_speed(speed, minimum, second_try=True))
    assert rank(first) <= rank(second)


@given(fault_lists, seen_faults, speed_verdicts)
def test_one_more_fault_never_improves_a_ride(
    faults: tuple[SeenFault, ...], fault: SeenFault, speed: SpeedVerdict
) -> None:
    assert rank(mark((*faults, fault), speed)) >= rank(mark(faults, speed))


@pytest.mark.parametrize(
    ("faults", "outcome"),
    [
        ((), Outcome.CLEAN),
        ((REMARK,), Outcome.CLEAN),
        ((RIDING, REMARK), Outcome.RIDING),
        ((RIDING, SERIOUS), Outcome.SERIOUS),
        ((DANGEROUS, SERIOUS), Outcome.DANGEROUS),
    ],
)
def test_a_ride_is_as_bad_as_its_worst_fault(
    faults: tuple[SeenFault, ...], outcome: Outcome
) -> None:
    assert mark(faults, FAST_ENOUGH) is outcome


def test_a_faulty_ride_that_was_not_measured_keeps_its_faults_outcome() -> None:
    assert mark((RIDING,), UNMEASURED) is Outcome.RIDING
    assert mark((REMARK,), UNMEASURED) is Outcome.UNMEASURED


def test_a_ride_too_slow_is_ridden_again_unless_it_was_worse() -> None:
    assert mark((RIDING,), TOO_SLOW) is Outcome.RIDE_AGAIN
    assert mark((SERIOUS,), TOO_SLOW) is Outcome.SERIOUS


def test_only_a_ride_without_a_fault_and_fast_enough_is_clean() -> None:
    assert [outcome for outcome in Outcome if is_clean(outcome)] == [Outcome.CLEAN]


def test_struck_out_and_unmeasured_rides_say_nothing_and_all_others_do() -> None:
    assert not any(counts_as_evidence(outcome, struck_out=True) for outcome in Outcome)
    silent = [each for each in Outcome if not counts_as_evidence(each, struck_out=False)]
    assert silent == [Outcome.UNMEASURED]
