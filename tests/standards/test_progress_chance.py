"""The belief about a student against exact Bayes, by numerical integration with SciPy's quad.

The step is an approximation (an extended Kalman filter on the logit); how far it
may be off is written here, in the region of variances that the model lives in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, sqrt

import pytest
from scipy.integrate import quad
from scipy.stats import norm

from app.rules.progress.model import logistic_of_belief, surprise_of

LEVELS = (-4.0, -2.0, -1.0, 0.0, 1.0, 2.0, 4.0)
VARIANCES = (0.05, 0.3, 1.0, 2.42)
"""The largest is that of a student never seen: 1.35 + 0.37 + 0.7."""


@dataclass(frozen=True)
class Exact:
    """The chance before the ride; mean and variance of the level after it."""

    chance: float
    mean: float
    variance: float


def exact(level: float, variance: float, ceiling: float, clean: bool) -> Exact:
    """Exact Bayes for one ride under a normal belief about the level."""
    deviation = sqrt(variance)

    def likelihood(at: float) -> float:
        chance = ceiling / (1.0 + exp(-at))
        return chance if clean else 1.0 - chance

    def mean_of(value: Callable[[float], float]) -> float:
        low, high = level - 9 * deviation, level + 9 * deviation
        found = quad(lambda at: value(at) * norm.pdf(at, level, deviation), low, high, limit=200)
        return float(found[0])

    whole = mean_of(likelihood)
    mean = mean_of(lambda at: at * likelihood(at)) / whole
    spread = mean_of(lambda at: (at - mean) ** 2 * likelihood(at)) / whole
    return Exact(whole if clean else 1.0 - whole, mean, spread)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("variance", VARIANCES)
def test_the_chance_of_a_belief_is_the_integral_within_a_hundredth(
    level: float, variance: float
) -> None:
    expected = exact(level, variance, 1.0, clean=True).chance
    assert logistic_of_belief(level, variance) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize("clean", [True, False])
@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize(
    ("ceiling", "variance", "mean_off", "variance_off"),
    [
        (1.0, 0.05, 0.001, 0.001),
        (1.0, 0.3, 0.002, 0.01),
        (1.0, 1.0, 0.02, 0.05),
        (1.0, 2.42, 0.07, 0.15),
        (0.95, 0.05, 0.001, 0.02),
        (0.95, 0.3, 0.01, 0.08),
        (0.95, 1.0, 0.05, 0.2),
        (0.95, 2.42, 0.12, 0.3),
    ],
)
def test_a_step_comes_close_to_exact_bayes(
    ceiling: float,
    variance: float,
    mean_off: float,
    variance_off: float,
    level: float,
    clean: bool,
) -> None:
    """The mean within a share of one standard deviation, the variance within a share of itself."""
    curved = logistic_of_belief(level, variance)
    surprise, lean = surprise_of(clean, ceiling * curved, curved, variance)
    expected = exact(level, variance, ceiling, clean)
    moved = level + variance * surprise
    assert moved == pytest.approx(expected.mean, abs=mean_off * sqrt(variance))
    left = variance - variance * variance * lean
    assert left == pytest.approx(expected.variance, rel=variance_off)
