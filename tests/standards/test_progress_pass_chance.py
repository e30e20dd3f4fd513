"""The chance of passing against SciPy's distributions, quadrature, and brute-force simulation.

Pass: nothing serious and at most 5 riding faults (GOV.UK "Motorcycle and moped
tests: module 1 off-road test").
"""

from __future__ import annotations

from math import exp, log, sqrt
from random import Random

import pytest
from scipy.integrate import quad
from scipy.stats import norm, poisson, poisson_binom

from app.rules.progress.readiness import Belief, Manoeuvre, Shared, pass_chance, passes
from app.rules.progress.splits import Split, riding_faults

MILD = Split(serious=0.0, again=0.0, rests_on=50.0)
MIXED = Split(serious=0.3, again=0.0, rests_on=50.0)
SLOW = Split(serious=0.2, again=0.3, rests_on=50.0)


@pytest.mark.parametrize("seed", range(5))
def test_single_riding_faults_add_up_to_the_poisson_binomial_distribution(seed: int) -> None:
    dice = Random(seed)
    chances = [dice.random() for _ in range(12)]
    found = passes([[1.0 - chance, chance] for chance in chances])
    assert found == pytest.approx(poisson_binom(chances).cdf(5), abs=1e-12)


@pytest.mark.parametrize("chance", [0.2, 0.6, 0.95])
def test_riding_faults_without_a_serious_one_are_a_thinned_poisson_count(chance: float) -> None:
    rate = -log(chance)
    nothing_serious = exp(-rate * MIXED.serious)
    mild = poisson(rate * (1.0 - MIXED.serious))
    expected = [nothing_serious * mild.pmf(count) for count in range(6)]
    assert riding_faults(chance, MIXED)[:6] == pytest.approx(expected, abs=1e-12)


def test_nine_manoeuvres_of_riding_faults_only_are_one_poisson_count() -> None:
    chances = [0.9, 0.8, 0.7, 0.6, 0.5, 0.6, 0.7, 0.8, 0.9]
    rate = -sum(map(log, chances))
    found = passes([riding_faults(chance, MILD) for chance in chances])
    assert found == pytest.approx(poisson(rate).cdf(5), abs=1e-9)


def _rides(dice: Random, chance: float, split: Split) -> int | None:
    """Riding faults of one manoeuvre as ridden; None for a serious fault or too slow twice."""
    total = 0
    for _ in range(2):
        slow = False
        for _ in range(poisson_draw(dice, -log(chance))):
            kind = dice.random()
            if kind < split.serious:
                return None
            slow = slow or kind < split.serious + split.again
            total += kind >= split.serious + split.again
        if not slow:
            return total
    return None


def poisson_draw(dice: Random, rate: float) -> int:
    """A Poisson count by waiting times."""
    count, waited = 0, dice.expovariate(1.0)
    while waited < rate:
        count += 1
        waited += dice.expovariate(1.0)
    return count


def test_the_pass_chance_is_that_of_brute_force_simulation_within_its_error() -> None:
    plan = [(0.9, MIXED), (0.75, SLOW), (0.5, MILD), (0.6, MILD), (0.4, MILD), (0.85, SLOW)]
    expected = passes([riding_faults(chance, split) for chance, split in plan])
    dice, tests = Random(7), 40_000
    passed = 0
    for _ in range(tests):
        faults = [_rides(dice, chance, split) for chance, split in plan]
        passed += None not in faults and sum(count or 0 for count in faults) <= 5
    error = sqrt(expected * (1.0 - expected) / tests)
    assert passed / tests == pytest.approx(expected, abs=4.0 * error)


@pytest.mark.parametrize("level", [-1.0, 1.0, 3.0])
def test_averaging_over_what_is_shared_is_the_integral(level: float) -> None:
    """Within half a point of SciPy's quad over the same normal belief."""
    beliefs = [Manoeuvre(n, (Belief(level, 0.1, MIXED),)) for n in range(9)]
    shared = Shared(form=0.2, general_variance=0.3, form_variance=0.6, ceiling=0.95)
    deviation = sqrt(shared.general_variance + shared.form_variance)

    def given(shift: float) -> float:
        certain = Shared(shift, 0.0, 0.0, shared.ceiling)
        return pass_chance(beliefs, certain) * float(norm.pdf(shift, shared.form, deviation))

    expected, _ = quad(given, shared.form - 8 * deviation, shared.form + 8 * deviation)
    assert pass_chance(beliefs, shared) == pytest.approx(expected, abs=0.005)
