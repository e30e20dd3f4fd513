"""One ride's step against the Kalman filter of statsmodels.

Source: statsmodels.tsa.statespace.kalman_filter.KalmanFilter. An extended Kalman
filter linearises what is observed and then takes the linear step. The slope and
the information of the ride are taken here by numerical differentiation; the step
itself, over the three parts together, is statsmodels' own.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import log, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import expit
from statsmodels.tsa.statespace.kalman_filter import KalmanFilter

from app.rules.progress.evidence import Evidence
from app.rules.progress.model import advance
from app.rules.progress.parameters import Constants, Parameters, Skill
from app.rules.progress.state import GeneralState, VariantState

NOON = datetime(2026, 1, 5, 12, 0, tzinfo=UTC)
EASE = 0.4
STILL = Constants(general_drift=0.0, own_drift=0.0, first_clean=0.0, rust=0.0, form_kept=1.0)
WIDTH = 1e-5
"""The step of the numerical slope, on the logit scale."""

means = st.floats(-2.0, 2.0)
variances = st.floats(0.05, 2.0)


def _log_chance(level: float, spread: float, clean: bool) -> float:
    """The log of the chance of what was seen; a belief's spread flattens the curve."""
    chance = STILL.ceiling * float(expit(level / sqrt(1.0 + pi * spread / 8.0)))
    return log(chance if clean else 1.0 - chance)


def _linearised(level: float, spread: float, clean: bool) -> tuple[float, float]:
    """Slope and expected information of a ride, of the flattened curve, per unit of its own."""
    flat = level / sqrt(1.0 + pi * spread / 8.0)

    def slope(seen: bool) -> float:
        higher, lower = (_log_chance(flat + by, 0.0, seen) for by in (WIDTH, -WIDTH))
        return (higher - lower) / (2 * WIDTH)

    chance = STILL.ceiling * float(expit(flat))
    information = chance * slope(True) ** 2 + (1.0 - chance) * slope(False) ** 2
    return slope(clean), information


def _filtered(
    prior: np.ndarray, spreads: np.ndarray, slope: float, information: float
) -> tuple[np.ndarray, np.ndarray]:
    """Means and variances after one observation of the sum of three parts."""
    seen = prior.sum() + slope / information
    linear = KalmanFilter(k_endog=1, k_states=3)
    linear.bind(np.array([[seen]]))
    linear["design"] = np.ones((1, 3))
    linear["obs_cov"] = np.array([[1.0 / information]])
    linear["transition"] = np.eye(3)
    linear["selection"] = np.eye(3)
    linear.initialize_known(prior, np.diag(spreads))
    found = linear.filter()
    return found.filtered_state[:, 0], np.diag(found.filtered_state_cov[:, :, 0])


@settings(max_examples=60, deadline=None)
@given(st.tuples(means, means, means), st.tuples(variances, variances, variances), st.booleans())
def test_a_ride_moves_the_three_parts_as_a_kalman_filter_does(
    prior: tuple[float, float, float], spreads: tuple[float, float, float], clean: bool
) -> None:
    general = GeneralState(prior[0], spreads[0], prior[2], spreads[2], 5, NOON, "a")
    variant = VariantState(1, prior[1], spreads[1])
    ride = Evidence(1, 1, NOON + timedelta(minutes=3), "b", clean)
    parameters = Parameters({1: Skill(EASE, 1.0)}, constants=STILL)
    _, after, own = advance(general, variant, ride, parameters, 0.0, 0.0)

    slope, information = _linearised(EASE + sum(prior), sum(spreads), clean)
    means_after, variances_after = _filtered(np.array(prior), np.array(spreads), slope, information)
    assert [after.mean, own.mean, after.form_mean] == pytest.approx(means_after, abs=1e-6)
    assert [after.variance, own.variance, after.form_variance] == pytest.approx(
        variances_after, abs=1e-6
    )
