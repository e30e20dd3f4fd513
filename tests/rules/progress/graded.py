"""A third cohort with known truth, whose riders are better or worse at each ride by degrees.

A ride has one grade: the rider's level at the manoeuvre, the form of the day and
chance, added. From 0 up it is clean; a little below it has one riding fault, then
two, and far below one that is serious. The level closes a share of the gap to a
limit of the rider's own with each ride, and loses a share of what was learnt with
the days. No constant of the rules was chosen on these riders. All figures are
invented.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from math import exp, sqrt
from random import Random

from app.rules.progress.evidence import Evidence
from app.rules.progress.splits import FaultCounts
from tests.rules.progress.days import below, pass_chance

BEGUN = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)
FIRST = (0.3, 0.4, -0.1, -0.4, 0.0, -0.7, 0.2, -0.3, -0.6, -0.6)
LIMIT = (1.9, 2.0, 1.7, 1.6, 1.8, 1.4, 1.9, 1.6, 1.5, 1.5)
"""Levels at the first ride and in the long run, in standard deviations of one ride."""
TWO, SERIOUS = 0.5, 0.8
"""How far below 0 a ride has two riding faults, and a serious one."""
VARIANTS = range(len(FIRST))
MANOEUVRES = (*((variant,) for variant in VARIANTS[:8]), (8, 9))


@dataclass
class Rider:
    """One rider: the truth, the rides so far, and the faults in them."""

    dice: Random
    level: list[float]
    limit: list[float]
    pace: float
    lasting: float
    moods: float
    evidence: list[Evidence] = field(default_factory=list)
    faults: dict[int, FaultCounts] = field(default_factory=dict)
    day: int = 0
    mood: float = 0.0

    def ride(self, variant: int, session: int) -> None:
        """One ride, which is counted and learnt from."""
        grade = self.level[variant] + self.mood + self.dice.gauss(0.0, 1.0)
        serious = int(grade < -SERIOUS)
        riding = 0 if grade >= 0.0 or serious else 1 + (grade < -TWO)
        before = self.fault_counts(variant)
        self.faults[variant] = FaultCounts(before.serious + serious, 0, before.riding + riding)
        at = BEGUN + timedelta(days=self.day, minutes=3 * len(self.evidence))
        key = f"{len(self.evidence):06d}"
        self.evidence.append(Evidence(variant, session, at, key, grade >= 0.0))
        self.level[variant] += self.pace * (self.limit[variant] - self.level[variant])

    def rest(self, days: int) -> None:
        """Days without riding, after which the day's form is another."""
        self.day += days
        kept = exp(-days / self.lasting)
        self.level = [
            first + kept * (level - first) if level > first else level
            for level, first in zip(self.level, FIRST, strict=True)
        ]
        self.mood = self.dice.gauss(0.0, self.moods)

    def fault_counts(self, variant: int) -> FaultCounts:
        """The faults seen in the rides of a variant."""
        return self.faults.get(variant, FaultCounts())

    def true_faults(self, variant: int, mood: float) -> list[float]:
        """The chances of 0, 1 and 2 riding faults with nothing serious, in the next ride."""
        level = self.level[variant] + mood
        clean, one, two = below(level), below(level + TWO), below(level + SERIOUS)
        return [clean, one - clean, two - one]

    def pass_chance(self) -> float:
        """The true chance of passing today, over all the days that it might turn out to be."""
        return pass_chance(lambda v, day: self.true_faults(v, self.moods * day), MANOEUVRES)


def rider(seed: int) -> Rider:
    """A rider after three to nine sessions."""
    dice = Random(seed)
    talent = dice.gauss(0.0, 0.3)
    one = Rider(
        dice=dice,
        level=[first + talent + dice.gauss(0.0, 0.25) for first in FIRST],
        limit=[limit + talent + dice.gauss(0.0, 0.2) for limit in LIMIT],
        pace=dice.uniform(0.06, 0.2),
        lasting=dice.uniform(60.0, 250.0),
        moods=sqrt(dice.uniform(0.01, 0.12)),
    )
    for session in range(dice.randint(3, 9)):
        one.rest(dice.randint(1, 12) if session else 0)
        for _ in range(dice.randint(14, 26)):
            one.ride(dice.choice(VARIANTS), session)
    one.rest(dice.randint(1, 5))
    return one
