"""Log loss, Brier score, AUC and the calibration table against scikit-learn's."""

from __future__ import annotations

from random import Random

import pytest
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss, log_loss, roc_auc_score

from app.rules.progress.scores import score


def _made(seed: int, count: int = 3000) -> tuple[list[float], list[bool]]:
    """Chances rounded so that many tie, and outcomes a little less sure than they say."""
    dice = Random(seed)
    chances = [round(dice.betavariate(2.0, 1.2), 2) or 0.01 for _ in range(count)]
    chances = [min(0.99, chance) for chance in chances]
    return chances, [dice.random() < 0.1 + 0.8 * chance for chance in chances]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_scores_are_those_of_scikit_learn(seed: int) -> None:
    chances, clean = _made(seed)
    found = score(chances, clean)
    assert found.log_loss == pytest.approx(log_loss(clean, chances), abs=1e-12)
    assert found.brier == pytest.approx(brier_score_loss(clean, chances), abs=1e-12)
    assert found.auc == pytest.approx(roc_auc_score(clean, chances), abs=1e-12)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_calibration_table_is_that_of_scikit_learn(seed: int) -> None:
    dice = Random(seed)
    chances = [dice.random() for _ in range(3000)]
    clean = [dice.random() < chance * chance for chance in chances]
    shares, means = calibration_curve(clean, chances, n_bins=10, strategy="uniform")
    bins = score(chances, clean).bins
    assert [one.share_clean for one in bins] == pytest.approx(list(shares))
    assert [one.mean_chance for one in bins] == pytest.approx(list(means))


def test_the_calibration_error_is_the_weighted_mean_of_the_gaps() -> None:
    found = score([0.15, 0.15, 0.95, 0.95, 0.95, 0.95], [False, True, True, True, True, False])
    assert found.ece == pytest.approx((2 * 0.35 + 4 * 0.2) / 6)
    assert [one.count for one in found.bins] == [2, 4]


def test_one_kind_of_outcome_has_no_auc() -> None:
    assert score([0.2, 0.9], [True, True]).auc is None


def test_a_certain_chance_that_was_wrong_has_a_finite_loss() -> None:
    assert 20 < score([1.0], [False]).log_loss < 21


@pytest.mark.parametrize(("chances", "clean"), [([], []), ([0.5], []), ([0.5], [True, False])])
def test_nothing_is_scored_without_an_outcome_for_each_chance(
    chances: list[float], clean: list[bool]
) -> None:
    with pytest.raises(ValueError, match="at least one"):
        score(chances, clean)
