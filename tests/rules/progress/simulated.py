"""Learners made up by a generator that does not share the model's form.

A learner's level on a manoeuvre creeps towards a limit of the learner's own, a
share of the way with each attempt; chances are the normal distribution function
of the level.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from statistics import NormalDist

from app.rules.progress.sequences import Row

LEVELS = {"easy": 0.8, "middling": 0.0, "hard": -1.0}


@dataclass(frozen=True)
class Made:
    """How a cohort is made: how many, how long each rides, and which number starts the dice."""

    learners: int
    attempts: int
    seed: int


def rows(made: Made) -> list[Row]:
    """The attempts of the whole cohort."""
    found: list[Row] = []
    for number in range(made.learners):
        found += _learner(f"s{made.seed}-{number}", made, Random(made.seed * 100_003 + number))
    return found


def _learner(name: str, made: Made, dice: Random) -> list[Row]:
    talent = dice.gauss(0.0, 0.6)
    levels = {key: level + talent + dice.gauss(0.0, 0.3) for key, level in LEVELS.items()}
    pace = dice.uniform(0.02, 0.12)
    ridden = []
    for order in range(made.attempts):
        key = dice.choice(list(levels))
        clean = dice.random() < NormalDist().cdf(levels[key])
        ridden.append(Row(name, key, order, None, clean))
        levels[key] += pace * (1.6 + talent - levels[key])
    return ridden
