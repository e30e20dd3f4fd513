"""The rich regression, the model's strongest rival: what it sees, and how well it is fitted."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import log
from statistics import mean
from types import ModuleType

import numpy as np
import pytest
from sklearn.linear_model import LogisticRegression

from app.rules.progress.estimate import chances_of, estimate
from app.rules.progress.regression import (
    FEATURES,
    OWN_FEATURES,
    PULL,
    Regression,
    features_of,
    passes,
    regress,
)
from app.rules.progress.scores import log_loss
from app.rules.progress.sequences import Attempt, attempts_of_rides
from tests.rules.progress import cohort, graded, lapses
from tests.rules.progress.made import rides
from tests.rules.progress.school import CODES, SHIPPED

COHORTS = {"by rate": cohort, "by lapses": lapses, "graded": graded}
named = pytest.mark.parametrize("name", COHORTS)
Students = list[list[Attempt]]


@cache
def students(name: str, first: int, count: int) -> Students:
    """So many riders of a cohort."""
    riders: ModuleType = COHORTS[name]
    return [attempts_of_rides(riders.rider(n).evidence) for n in range(first, first + count)]


def outcomes(found: Students) -> list[bool]:
    """What came of all their attempts."""
    return [one.evidence.clean for student in found for one in student]


def loss(chances: Sequence[Sequence[float]], found: Students) -> float:
    """The log loss of the chances of each student's attempts."""
    return log_loss([chance for each in chances for chance in each], outcomes(found))


def table(found: Students) -> np.ndarray:
    """The features as columns, and beside them those that each manoeuvre has a weight for."""
    common = np.array([features for student in found for features in features_of(student)])
    places = np.array([one.evidence.variant_id for student in found for one in student])
    own = np.zeros((len(common), len(CODES), OWN_FEATURES))
    own[np.arange(len(common)), places] = common[:, :OWN_FEATURES]
    return np.hstack([common, own.reshape(len(common), -1)])


@pytest.mark.slow
@named
@pytest.mark.parametrize("count", [10, 100])
def test_it_is_fitted_nearly_as_well_as_by_scikit_learn(name: str, count: int) -> None:
    """Other riders are predicted no worse than 0.002 of log loss."""
    fit, other = students(name, 0, count), students(name, 1000, 100)
    reference = LogisticRegression(C=1.0 / PULL, max_iter=5000, fit_intercept=False)
    reference.fit(table(fit), outcomes(fit))
    best = log_loss(reference.predict_proba(table(other))[:, 1].tolist(), outcomes(other))
    found = regress(fit)
    assert loss([found.chances_of(student) for student in other], other) < best + 0.002


@pytest.mark.slow
def test_with_few_students_the_model_says_more_and_with_many_hardly_less() -> None:
    """Over the three cohorts. The model has fixed constants and shipped figures to begin with."""
    behind: dict[int, list[float]] = {10: [], 100: []}
    for name in COHORTS:
        other = students(name, 1000, 100)
        for count, found in behind.items():
            fit = students(name, 0, count)
            figures, rival = estimate(fit, SHIPPED).parameters, regress(fit)
            ours = loss([chances_of(student, figures) for student in other], other)
            found.append(ours - loss([rival.chances_of(student) for student in other], other))
    assert mean(behind[10]) < -0.01
    assert max(behind[100]) < 0.012


def test_it_sees_what_came_before_and_nothing_else() -> None:
    student = attempts_of_rides(rides("1101"))
    seen = list(features_of(student))
    assert {len(each) for each in seen} == {FEATURES}
    assert [each[1] - seen[0][1] for each in seen] == pytest.approx([0.0, log(2), log(3), log(3)])
    assert [each[2] - seen[0][2] for each in seen] == pytest.approx([0.0, 0.0, 0.0, log(2)])
    turned = attempts_of_rides(rides("1100"))
    assert list(features_of(turned)) == seen


def test_the_same_students_give_the_same_regression_and_none_give_an_even_chance() -> None:
    few = students("by rate", 0, 3)
    assert regress(few) == regress(few)
    assert regress([]) == Regression()
    assert Regression().chances_of(few[0])[0] == 0.5


def test_each_pass_ticks_once_for_each_student() -> None:
    few, ticks = students("by rate", 0, 3), []
    regress(few, tick=lambda: ticks.append(1))
    assert len(ticks) == 3 * passes(few)
