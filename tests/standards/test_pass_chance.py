"""Whole tests ridden by dice and judged by the published rule, against what is expected of them.

Pass: nothing serious or dangerous and at most 5 riding faults (GOV.UK "Motorcycle
and moped tests: module 1 off-road test"). The avoidance is not ridden once the
emergency stop has failed, too slow is ridden again once (common practice).
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from math import exp, log, sqrt
from random import Random

import pytest
from scipy.stats import poisson_binom

from app.rules.progress.expected_record import ExpectedRecord, expected_record
from app.rules.progress.readiness import Belief, Manoeuvre, Shared, pass_chance
from app.rules.progress.splits import Split
from app.rules.riding.findings import FindingCode, RiddenExercise
from app.rules.riding.marking import judge_speed
from app.rules.riding.values import SeenFault, Severity
from app.rules.riding.verdict import ModuleResult, ModuleVerdict, judge_test, marking_sheet
from tests.rules.riding.shipped import shipped_syllabus

SHEET = marking_sheet(shipped_syllabus())
EMERGENCY, AVOIDANCE = "emergency_stop", "avoidance"
LEVELS = {
    "park": 3.0,
    "wheel": 2.5,
    "slalom": 1.5,
    "figure_of_8": 0.5,
    "slow_ride": 1.0,
    "u_turn": 0.0,
    "controlled_stop": 1.5,
    EMERGENCY: 0.5,
}
SIDES = (1.0, -0.5)
PLAIN = Split(serious=0.15, again=0.0, rests_on=50.0)
FAST = Split(serious=0.15, again=0.2, rests_on=50.0)
SHARED = Shared(form=0.2, general_variance=0.05, form_variance=0.1, ceiling=0.95)
TESTS = 20_000
QUADRATURE = 0.003
"""What seven nodes may be off by."""


def _split(code: str) -> Split:
    return FAST if code in (EMERGENCY, AVOIDANCE) else PLAIN


def _course() -> list[Manoeuvre]:
    beliefs: dict[str, tuple[Belief, ...]] = {
        code: (Belief(level, 0.0, _split(code)),) for code, level in LEVELS.items()
    }
    beliefs[AVOIDANCE] = tuple(Belief(level, 0.0, FAST) for level in SIDES)
    return [Manoeuvre(number, ways) for number, ways in enumerate(beliefs.values())]


PLACES = {code: number for number, code in enumerate([*LEVELS, AVOIDANCE])}


def _expected() -> ExpectedRecord:
    return expected_record(_course(), SHARED, {PLACES[AVOIDANCE]: PLACES[EMERGENCY]})


def _ride(dice: Random, code: str, rate: float, second: bool) -> RiddenExercise:
    """One ride: every fault and every lack of speed by the toss of a coin."""
    share, found, slow = _split(code), [], False
    waited = dice.expovariate(1.0)
    while waited < rate:
        kind = dice.random()
        if kind < share.serious:
            found.append(SeenFault("cone_touched", Severity.SERIOUS))
        elif kind < share.serious + share.again:
            slow = True
        else:
            found.append(SeenFault("foot_down", Severity.RIDING))
        waited += dice.expovariate(1.0)
    minimum = 50.0 if share.again else None
    return RiddenExercise(code, tuple(found), judge_speed(40.0 if slow else 52.0, minimum, second))


def _exercise(dice: Random, code: str, level: float, shift: float) -> list[RiddenExercise]:
    chance = SHARED.ceiling / (1.0 + exp(-level - shift))
    ridden = [_ride(dice, code, -log(chance), second=False)]
    if ridden[0].speed.result == "ride_again":
        ridden.append(_ride(dice, code, -log(chance), second=True))
    return ridden


def _one_test(dice: Random) -> tuple[ModuleVerdict, list[RiddenExercise]]:
    shift = dice.gauss(SHARED.form, sqrt(SHARED.general_variance + SHARED.form_variance))
    rides = [ride for code, level in LEVELS.items() for ride in _exercise(dice, code, level, shift)]
    so_far = judge_test(rides, SHEET)
    failed = {one.manoeuvre for one in so_far.reasons if one.code is FindingCode.SERIOUS_FAULT}
    if EMERGENCY not in failed:
        rides += _exercise(dice, AVOIDANCE, dice.choice(SIDES), shift)
    return judge_test(rides, SHEET), rides


@cache
def _simulated() -> Counter[str]:
    """How many tests passed, failed and why; riding faults, and exercises ridden and failed."""
    dice, seen = Random(11), Counter[str]()
    for _ in range(TESTS):
        verdict, rides = _one_test(dice)
        seen["passed"] += verdict.result is ModuleResult.PASSED
        seen["serious"] += verdict.serious > 0
        seen["too many"] += verdict.result is ModuleResult.FAILED and not verdict.serious
        seen["riding"] += verdict.riding
        serious = {r.manoeuvre for r in verdict.reasons if r.code is FindingCode.SERIOUS_FAULT}
        for code in {ride.manoeuvre for ride in rides}:
            seen[f"ridden {code}"] += 1
            seen[f"failed {code}"] += code in serious
    return seen


def _close(count: int, expected: float, of: int = TESTS) -> None:
    error = sqrt(expected * (1.0 - expected) / of)
    assert count / of == pytest.approx(expected, abs=4.0 * error + QUADRATURE)


def test_the_chance_of_passing_is_the_share_of_judged_tests_that_pass() -> None:
    seen = _simulated()
    assert 0.2 < _expected().passed < 0.8
    _close(seen["passed"], pass_chance(_course(), SHARED))


def test_the_ways_not_to_pass_come_as_often_as_expected() -> None:
    seen = _simulated()
    record = _expected()
    _close(seen["serious"], record.serious)
    _close(seen["too many"], record.too_many)
    assert record.passed + record.serious + record.too_many == pytest.approx(1.0)


@pytest.mark.parametrize("code", [*LEVELS, AVOIDANCE])
def test_each_exercise_is_ridden_and_failed_as_often_as_expected(code: str) -> None:
    seen = _simulated()
    one = _expected().exercises[PLACES[code]]
    _close(seen[f"ridden {code}"], one.ridden)
    _close(seen[f"failed {code}"], one.serious, of=seen[f"ridden {code}"])


def test_so_many_riding_faults_are_seen_as_expected() -> None:
    seen = _simulated()
    assert seen["riding"] / TESTS == pytest.approx(_expected().riding, abs=0.05)


def test_the_chance_of_nothing_serious_is_that_of_a_poisson_binomial_count_of_none() -> None:
    """SciPy's poisson_binom over the exercises, for a rider of whom all is known."""
    certain = Shared(form=0.0, general_variance=0.0, form_variance=0.0, ceiling=0.95)
    record = expected_record(_course(), certain, {})
    failing = [one.serious for one in record.exercises]
    assert 1.0 - record.serious == pytest.approx(poisson_binom(failing).pmf(0), abs=1e-12)
    assert all(one.ridden == pytest.approx(1.0) for one in record.exercises)
