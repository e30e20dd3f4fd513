"""A cohort of riders with known truth, made by a generator that is not of the model's form.

Faults come as a Poisson process in each ride. Its rate falls with skill, skill
grows with each ride by a pace of the rider's own and is lost with the days
between sessions, at an exponential pace that the model does not have. Each fault
is serious with a chance of the manoeuvre's. A test is one ride of each
manoeuvre; the avoidance goes left or right by the toss of a coin.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from math import exp
from random import Random

from app.rules.progress.evidence import Evidence
from app.rules.progress.readiness import passes
from app.rules.progress.splits import FaultCounts

BEGUN = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)
FIRST_RATE = (0.6, 0.6, 0.9, 1.2, 0.8, 1.6, 0.7, 1.1, 1.5, 1.5)
SERIOUS_SHARE = (0.1, 0.15, 0.3, 0.3, 0.2, 0.4, 0.15, 0.25, 0.4, 0.4)
VARIANTS = range(len(FIRST_RATE))
MANOEUVRES = (*((variant,) for variant in VARIANTS[:8]), (8, 9))
LAST_RATE = 0.03


@dataclass
class Rider:
    """One rider: the truth, the rides so far, and the faults in them."""

    dice: Random
    pace: float
    talent: float
    half_life: float
    skill: list[float]
    evidence: list[Evidence] = field(default_factory=list)
    faults: dict[int, tuple[int, int]] = field(default_factory=dict)
    day: int = 0

    def rate(self, variant: int) -> float:
        """Faults expected in the next ride."""
        return FIRST_RATE[variant] * exp(self.talent - self.skill[variant]) + LAST_RATE

    def ride(self, variant: int, session: int) -> None:
        """One ride, which is counted and learnt from."""
        faults = _poisson(self.dice, self.rate(variant))
        serious = sum(self.dice.random() < SERIOUS_SHARE[variant] for _ in range(faults))
        before = self.faults.get(variant, (0, 0))
        self.faults[variant] = (before[0] + serious, before[1] + faults - serious)
        at = BEGUN + timedelta(days=self.day, minutes=3 * len(self.evidence))
        key = f"{len(self.evidence):06d}"
        self.evidence.append(Evidence(variant, session, at, key, not faults))
        self.skill[variant] += self.pace * (1.0 if not faults else 0.7)

    def rest(self, days: int) -> None:
        """Days without riding."""
        self.day += days
        self.skill = [skill * 0.5 ** (days / self.half_life) for skill in self.skill]

    def fault_counts(self, variant: int) -> FaultCounts:
        """The faults seen in the rides of a variant."""
        serious, riding = self.faults.get(variant, (0, 0))
        return FaultCounts(serious=serious, riding=riding)

    def true_faults(self, variant: int) -> list[float]:
        """The chances of 0, 1 ... riding faults with nothing serious, in the next ride."""
        rate, serious = self.rate(variant), SERIOUS_SHARE[variant]
        mild = rate * (1.0 - serious)
        found, term = [], exp(-rate)
        for count in range(8):
            found.append(term)
            term *= mild / (count + 1)
        return found

    def pass_chance(self) -> float:
        """The true chance of passing today."""
        faults = [[self.true_faults(variant) for variant in variants] for variants in MANOEUVRES]
        return passes([[sum(c) / len(each) for c in zip(*each, strict=True)] for each in faults])


def rider(seed: int) -> Rider:
    """A rider after three to nine sessions."""
    dice = Random(seed)
    one = Rider(
        dice=dice,
        pace=dice.uniform(0.12, 0.38),
        talent=dice.gauss(0.0, 0.35),
        half_life=dice.uniform(40.0, 160.0),
        skill=[dice.gauss(0.0, 0.25) for _ in VARIANTS],
    )
    for session in range(dice.randint(3, 9)):
        if session:
            one.rest(dice.randint(1, 12))
        for _ in range(dice.randint(14, 26)):
            one.ride(dice.choice(VARIANTS), session)
    one.rest(dice.randint(1, 5))
    return one


def _poisson(dice: Random, rate: float) -> int:
    left, count = exp(-rate), 0
    chance = dice.random()
    while chance > left:
        chance *= dice.random()
        count += 1
    return count
