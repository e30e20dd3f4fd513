"""What real results make of the chances given before them: a shift and a slope, with shrinkage."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from app.rules.progress.recalibration import (
    SHIFT_DEVIATION,
    SLOPE_DEVIATION,
    UNTRIED,
    logistic,
    logit,
    recalibrate,
)

CHANCES = st.floats(0.0, 1.0)
RESULTS = st.lists(st.tuples(CHANCES, st.booleans()), max_size=60)


def tossed(count: int, shift: float, slope: float) -> list[tuple[float, bool]]:
    """Results whose true chance has the logit shift + slope * logit of the chance given."""
    dice = Random(5)
    chances = [dice.uniform(0.05, 0.95) for _ in range(count)]
    return [(c, dice.random() < logistic(shift + slope * logit(c))) for c in chances]


def test_without_results_a_chance_is_what_it_was() -> None:
    assert recalibrate([]) == UNTRIED
    assert UNTRIED.of(0.3) == pytest.approx(0.3)
    assert UNTRIED.variance_at(0.5) == SHIFT_DEVIATION**2
    assert UNTRIED.variance_at(0.9) > UNTRIED.variance_at(0.5)


def test_results_that_agree_leave_the_chance_and_say_how_many_they_are() -> None:
    found = recalibrate([(0.75, True)] * 75 + [(0.75, False)] * 25)
    assert found.of(0.75) == pytest.approx(0.75, abs=1e-9)
    assert found.rests_on == 100
    assert found.variance_at(0.75) < 0.2 * UNTRIED.variance_at(0.75)


def test_many_results_that_differ_move_the_chance_to_them_and_few_hardly() -> None:
    few = recalibrate([(0.6, True)] * 2)
    many = recalibrate([(0.6, True)] * 800 + [(0.6, False)] * 200)
    assert 0.6 < few.of(0.6) < 0.66
    assert many.of(0.6) == pytest.approx(0.8, abs=0.01)


def test_chances_that_were_too_timid_are_stretched() -> None:
    found = recalibrate(tossed(20_000, shift=0.4, slope=1.5))
    assert found.shift == pytest.approx(0.4, abs=0.06)
    assert found.slope == pytest.approx(1.5, abs=0.06)


@given(RESULTS, CHANCES, CHANCES)
def test_the_likelier_to_pass_stays_so_whatever_the_results(
    results: list[tuple[float, bool]], one: float, other: float
) -> None:
    found = recalibrate(results)
    low, high = sorted((one, other))
    assert found.slope > 0.0
    assert 0.0 <= found.of(low) <= found.of(high) <= 1.0
    assert found.variance_at(one) > 0.0


@pytest.mark.parametrize(
    "results",
    [
        tossed(40, 0.3, 0.8),
        tossed(500, -0.5, 1.3),
        tossed(500, 0.0, -1.0),
        [(0.999, False)] * 500,
        [(0.01, True), (0.99, False)] * 100,
    ],
)
def test_shift_and_slope_are_where_the_posterior_is_highest(
    results: list[tuple[float, bool]],
) -> None:
    """Against SciPy's minimize (Nelder and Mead) on the same posterior, written with NumPy."""
    levels = np.array([logit(chance) for chance, _ in results])
    signs = np.array([1.0 if passed else -1.0 for _, passed in results])

    def depth(at: np.ndarray) -> float:
        moved = at[0] + np.exp(at[1]) * levels
        prior = (at[0] / SHIFT_DEVIATION) ** 2 + (at[1] / SLOPE_DEVIATION) ** 2
        return float(np.logaddexp(0.0, -signs * moved).sum() + prior / 2.0)

    best = minimize(depth, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-9})
    found = recalibrate(results)
    assert found.shift == pytest.approx(best.x[0], abs=1e-4)
    assert np.log(found.slope) == pytest.approx(best.x[1], abs=1e-4)
