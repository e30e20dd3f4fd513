"""How hard each manoeuvre is, on a set of answers that every book on item response has.

Five questions of section 6 of the Law School Admission Test, answered by 1,000
people: Bock and Lieberman, "Fitting a response model for n dichotomously scored
items", Psychometrika 35, 1970. Each question is met once, so that neither practice
nor rust comes in and the model is that of Rasch: a level of the person's own
beside one for each question.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np
import pytest
from numpy.polynomial.hermite_e import hermegauss
from scipy.optimize import minimize
from scipy.special import log_expit
from statsmodels.discrete.conditional_models import ConditionalLogit

from app.rules.progress.estimate import Estimate, estimate
from app.rules.progress.evidence import Evidence
from app.rules.progress.parameters import Constants, Parameters, Skill
from app.rules.progress.sequences import Attempt, attempts_of_rides

ITEMS = 5
COUNTS = {
    **{"00000": 3, "00001": 6, "00010": 2, "00011": 11, "00100": 1, "00101": 1, "00110": 3},
    **{"00111": 4, "01000": 1, "01001": 8, "01011": 16, "01101": 3, "01110": 2, "01111": 15},
    **{"10000": 10, "10001": 29, "10010": 14, "10011": 81, "10100": 3, "10101": 28},
    **{"10110": 15, "10111": 80, "11000": 16, "11001": 56, "11010": 21, "11011": 173},
    **{"11100": 11, "11101": 61, "11110": 28, "11111": 298},
}
"""How many people answered so: 1 for right, in the order of the questions. The table is the data
set bock.table of R's package psych, and stands in the example "Lsat" of the BUGS project."""

NOON = datetime(2026, 1, 5, 12, 0, tzinfo=UTC)
ANSWERS = np.array([[int(x) for x in word] for word, n in COUNTS.items() for _ in range(n)])


@cache
def rasch() -> tuple[list[float], float]:
    """Eases and the spread of people by marginal maximum likelihood, with SciPy and NumPy."""
    nodes, weights = hermegauss(41)

    def depth(at: np.ndarray) -> float:
        level = at[:ITEMS, None] + at[ITEMS] * nodes
        each = np.exp(ANSWERS @ log_expit(level) + (1 - ANSWERS) @ log_expit(-level))
        return float(-np.log(each @ weights / weights.sum()).mean())

    found = minimize(depth, [1.0] * ITEMS + [0.7], method="BFGS")
    return [float(ease) for ease in found.x[:ITEMS]], float(found.x[ITEMS])


def _person(answers: list[int]) -> list[Attempt]:
    """One person's answers as rides within the hour."""
    return attempts_of_rides(
        [
            Evidence(item, 1, NOON + timedelta(minutes=item), str(item), bool(right))
            for item, right in enumerate(answers)
        ]
    )


@cache
def ours() -> Estimate:
    """The school's way to the same figures, with people as different as they were found to be."""
    _, spread = rasch()
    plain = Constants(
        general_variance=spread**2,
        own_variance=0.0,
        general_drift=0.0,
        own_drift=0.0,
        form_variance=0.0,
        first_clean=0.0,
        ceiling=1.0,
        rust=0.0,
    )
    prior = Parameters(dict.fromkeys(range(ITEMS), Skill(0.0, 0.0)), constants=plain)
    return estimate([_person(answers) for answers in ANSWERS.tolist()], prior)


def _eases() -> list[float]:
    return [ours().parameters.skill(item).ease for item in range(ITEMS)]


def test_the_table_is_the_one_that_was_published() -> None:
    """1,000 people; right answers 924, 709, 553, 763 and 870 (Bock and Lieberman)."""
    assert ANSWERS.sum(axis=0).tolist() == [924, 709, 553, 763, 870]
    assert len(ANSWERS) == 1000
    assert ours().attempts == dict.fromkeys(range(ITEMS), 1000)


def test_the_reference_has_the_spread_that_is_published_for_it() -> None:
    """0.755, for the discrimination of R's ltm::rasch(LSAT) (from memory)."""
    assert rasch()[1] == pytest.approx(0.755, abs=0.002)


def test_each_question_is_as_hard_as_marginal_maximum_likelihood_says() -> None:
    """Within 0.05 on the logit: less than a standard error, of which the least is 0.07."""
    assert _eases() == pytest.approx(rasch()[0], abs=0.05)


@pytest.mark.filterwarnings("ignore:Dropped")
def test_the_differences_are_those_of_conditional_maximum_likelihood() -> None:
    """Rasch's own estimator, which knows nothing of how people differ: statsmodels' conditional
    logistic regression, a group for each person."""
    right = ANSWERS.ravel()
    people = np.repeat(np.arange(len(ANSWERS)), ITEMS)
    questions = np.tile(np.eye(ITEMS)[:, 1:], (len(ANSWERS), 1))
    found = ConditionalLogit(right, questions, groups=people).fit(disp=False)
    first, *others = _eases()
    assert [ease - first for ease in others] == pytest.approx(list(found.params), abs=0.05)
