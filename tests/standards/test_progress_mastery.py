"""When a manoeuvre counts as learnt: our rule beside the criteria that are written about.

Pelánek and Řihák, "Analysis and design of mastery learning criteria", New Review of
Hypermedia and Multimedia 24(3), 2018: N correct in a row, an exponential moving
average above a threshold, and Bayesian knowledge tracing differ less between each
other than by the threshold that is chosen; the average is a suitable criterion.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import timedelta
from functools import cache
from itertools import product
from random import Random
from statistics import mean

import pytest

from app.rules.progress.estimate import chances_of, estimate
from app.rules.progress.evidence import Evidence
from app.rules.progress.model import fold
from app.rules.progress.parameters import Parameters, Skill
from app.rules.progress.sequences import Attempt
from app.rules.progress.standing import standing_of
from app.rules.progress.target import Standing, TargetRule
from tests.rules.progress.made import EASY, FIRST_DAY, rides

RUN = TargetRule(clean_in_a_row=3, over_sessions=1, within_days=21, chance=0.5)
"""The rule with nothing in the way but three clean rides in a row."""


def averages(outcomes: Sequence[bool], kept: float) -> list[float]:
    """The exponential moving average after each outcome, from 0: kept * before + (1 - kept)."""
    found, now = [], 0.0
    for clean in outcomes:
        now = kept * now + (1.0 - kept) * clean
        found.append(now)
    return found


@pytest.mark.parametrize("kept", [0.1, 0.3, 0.49])
def test_three_in_a_row_is_a_moving_average_that_forgets_fast(kept: float) -> None:
    """On every sequence of seven rides. The average of three clean rides is at least 1 - kept^3;
    with a fault before two clean ones it is at most 1 - kept^2 (1 - kept), which is less for as
    long as kept is below a half (derived)."""
    threshold = 1.0 - kept**3 - 1e-9
    for outcomes in product((False, True), repeat=7):
        ridden = rides("".join("01"[clean] for clean in outcomes))
        state = fold(ridden, EASY)
        now = ridden[-1].ridden_at
        found = standing_of(state.variants[1], state.general, RUN, EASY, now)
        assert (found is Standing.STEADY) == (averages(outcomes, kept)[-1] >= threshold)


START, LEARN, SLIP, GUESS = 0.15, 0.12, 0.08, 0.25
"""A learner of Bayesian knowledge tracing: the chances of knowing at first, of learning with an
attempt, of failing though knowing, and of success without. Invented, of the usual sizes."""
ATTEMPTS, LEARNERS = 60, 1500
RASH = 0.1
"""The share of learners that a criterion may pass before they know."""

Learner = tuple[list[bool], int]


def _learner(dice: Random) -> Learner:
    """Outcomes, and before which attempt it was known."""
    knows, known_from, outcomes = dice.random() < START, ATTEMPTS, []
    for place in range(ATTEMPTS):
        known_from = min(known_from, place) if knows else known_from
        outcomes.append(dice.random() < (1.0 - SLIP if knows else GUESS))
        knows = knows or dice.random() < LEARN
    return outcomes, known_from


@cache
def _learners(seed: int) -> list[Learner]:
    dice = Random(seed)
    return [_learner(dice) for _ in range(LEARNERS)]


def _traced(outcomes: Sequence[bool]) -> list[float]:
    """The chance of knowing after each attempt, with the learner's true figures: no criterion that
    sees outcomes only can know more."""
    found, knows = [], START
    for clean in outcomes:
        with_it = knows * (1.0 - SLIP if clean else SLIP)
        without = (1.0 - knows) * (GUESS if clean else 1.0 - GUESS)
        after = with_it / (with_it + without)
        found.append(after)
        knows = after + (1.0 - after) * LEARN
    return found


def _attempts(outcomes: Sequence[bool]) -> list[Attempt]:
    return [
        Attempt(Evidence(1, 1, FIRST_DAY + timedelta(minutes=n), f"{n:03d}", clean), 0.0, 0.0)
        for n, clean in enumerate(outcomes)
    ]


@cache
def _figures() -> Parameters:
    students = [_attempts(outcomes) for outcomes, _ in _learners(1)[:300]]
    return estimate(students, Parameters({1: Skill(0.0, 1.0)})).parameters


def _ours(outcomes: Sequence[bool]) -> list[float]:
    """The chance that the next is clean, after each attempt."""
    return chances_of(_attempts([*outcomes, True]), _figures())[1:]


def _taken(criterion: Callable[[Sequence[bool]], list[float]]) -> float:
    """Attempts until a criterion says learnt, its threshold such that RASH are passed too early."""
    scored = [(criterion(outcomes), known_from) for outcomes, known_from in _learners(2)]
    low, high = 0.0, 1.0
    for _ in range(25):
        middle = (low + high) / 2.0
        early = mean(_first(scores, middle) < known_from for scores, known_from in scored)
        low, high = (middle, high) if early > RASH else (low, middle)
    return mean(_first(scores, high) + 1 for scores, _ in scored)


def _first(scores: Sequence[float], threshold: float) -> int:
    return next((n for n, score in enumerate(scores) if score >= threshold), ATTEMPTS)


def _averaged(kept: float) -> Callable[[Sequence[bool]], list[float]]:
    return lambda outcomes: averages(outcomes, kept)


@pytest.mark.slow
def test_the_criteria_differ_little_once_each_has_its_threshold() -> None:
    """At the same share passed too early. The published finding: a moving average takes no more
    attempts than tracing with the true figures, give or take 5 %. Ours, which thinks of learners
    in another way than these learn, takes up to 12 % more."""
    best = _taken(_traced)
    assert _taken(_averaged(0.7)) < 1.05 * best
    assert best < _taken(_ours) < 1.12 * best
