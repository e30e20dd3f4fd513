"""A second cohort with known truth, whose riders go wrong in another way again.

Each manoeuvre has three ways to go wrong, and each of them is a lapse of its own:
its chance falls with practice by a power law to a floor, and rises with each day
without it. Some days are better than others for all lapses alike, by an amount of
the rider's own. The two exercises with a minimum speed are also timed: the speed
is a normal number, judged by the published minimum, and too slow is ridden again.
All figures are invented, so that about as many pass as in the national statistics
(74.5 % in 2021/22, as reported).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from math import exp, log1p
from random import Random

from app.rules.progress.evidence import Evidence
from app.rules.progress.splits import FaultCounts
from app.rules.riding.marking import SpeedResult, judge_speed
from tests.rules.progress.days import below, pass_chance

BEGUN = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)
MINIMUM_KMH = 50.0
LAPSES = (0.12, 0.10, 0.19, 0.23, 0.21, 0.30, 0.14, 0.23, 0.30, 0.30)
"""The chance of each of three lapses in a manoeuvre at the first ride."""
SERIOUS = (0.05, 0.1, 0.2, 0.2, 0.15, 0.35, 0.1, 0.2, 0.3, 0.3)
TIMED = frozenset({7, 8, 9})
VARIANTS = range(len(LAPSES))
MANOEUVRES = (*((variant,) for variant in VARIANTS[:8]), (8, 9))
KINDS = 3
MOST = 8


@dataclass
class Rider:
    """One rider: the truth, the rides so far, and the faults in them."""

    dice: Random
    clumsy: list[list[float]]
    pace: float
    floor: float
    rust: float
    moods: float
    speed: float
    steadiness: float
    rides: list[int] = field(default_factory=lambda: [0] * len(LAPSES))
    last_day: list[int] = field(default_factory=lambda: [0] * len(LAPSES))
    evidence: list[Evidence] = field(default_factory=list)
    faults: dict[int, FaultCounts] = field(default_factory=dict)
    day: int = 0
    mood: float = 0.0

    def chances(self, variant: int, mood: float) -> list[float]:
        """The chance of each lapse in a ride now."""
        learnt = (1.0 + self.rides[variant]) ** -self.pace
        idle = log1p(self.day - self.last_day[variant]) if self.rides[variant] else 0.0
        level = max(self.floor, LAPSES[variant] * learnt) * exp(self.rust * idle + mood)
        return [min(0.9, level * clumsy) for clumsy in self.clumsy[variant]]

    def too_slow(self, variant: int) -> tuple[float, float]:
        """The chances of a speed that is ridden again, and of one that is a riding fault."""
        if variant not in TIMED:
            return 0.0, 0.0
        mean = self.speed + 1.5 * log1p(self.rides[variant])
        again = below((MINIMUM_KMH - 2.0 - mean) / self.steadiness)
        return again, below((MINIMUM_KMH - mean) / self.steadiness) - again

    def ride(self, variant: int, session: int) -> None:
        """One ride, which is counted and learnt from."""
        lapses = sum(self.dice.random() < each for each in self.chances(variant, self.mood))
        serious = sum(self.dice.random() < SERIOUS[variant] for _ in range(lapses))
        again, mild = self._timed(variant)
        before = self.faults.get(variant, FaultCounts())
        self.faults[variant] = FaultCounts(
            before.serious + serious, before.again + again, before.riding + lapses - serious + mild
        )
        at = BEGUN + timedelta(days=self.day, minutes=3 * len(self.evidence))
        clean = not (lapses or again or mild)
        self.evidence.append(Evidence(variant, session, at, f"{len(self.evidence):06d}", clean))
        self.rides[variant] += 1
        self.last_day[variant] = self.day

    def _timed(self, variant: int) -> tuple[int, int]:
        if variant not in TIMED:
            return 0, 0
        speed = self.dice.gauss(self.speed + 1.5 * log1p(self.rides[variant]), self.steadiness)
        result = judge_speed(max(0.0, speed), MINIMUM_KMH, second_try=False).result
        return int(result is SpeedResult.RIDE_AGAIN), int(result is SpeedResult.RIDING_FAULT)

    def fault_counts(self, variant: int) -> FaultCounts:
        """The faults seen in the rides of a variant."""
        return self.faults.get(variant, FaultCounts())

    def true_faults(self, variant: int, mood: float) -> list[float]:
        """The chances of 0, 1 ... riding faults with nothing serious, in the next test."""
        found = [1.0] + [0.0] * (MOST - 1)
        for lapse in self.chances(variant, mood):
            mild = lapse * (1.0 - SERIOUS[variant])
            found = _one_more(found, 1.0 - lapse, mild)
        again, fault = self.too_slow(variant)
        once = _one_more(found, 1.0 - again - fault, fault)
        twice = [sum(found[k] * once[n - k] for k in range(n + 1)) for n in range(MOST)]
        return [one + again * two for one, two in zip(once, twice, strict=True)]

    def pass_chance(self) -> float:
        """The true chance of passing today, over all the days that it might turn out to be."""
        return pass_chance(lambda v, day: self.true_faults(v, self.moods * day), MANOEUVRES)


def rider(seed: int) -> Rider:
    """A rider after three to nine sessions."""
    dice = Random(seed)
    talent = dice.gauss(0.0, 0.35)
    one = Rider(
        dice=dice,
        clumsy=[[exp(talent + dice.gauss(0.0, 0.4)) for _ in range(KINDS)] for _ in VARIANTS],
        pace=dice.uniform(0.5, 1.1),
        floor=dice.uniform(0.005, 0.015),
        rust=dice.uniform(0.0, 0.25),
        moods=dice.uniform(0.1, 0.5),
        speed=dice.gauss(50.0, 2.0),
        steadiness=dice.uniform(1.0, 2.5),
    )
    for session in range(dice.randint(3, 9)):
        one.day += dice.randint(1, 12) if session else 0
        one.mood = dice.gauss(0.0, one.moods)
        for _ in range(dice.randint(14, 26)):
            one.ride(dice.choice(VARIANTS), session)
    one.day += dice.randint(1, 5)
    return one


def _one_more(found: list[float], none: float, one: float) -> list[float]:
    """Riding faults after something that may give one more, or nothing, or a serious fault."""
    return [none * now + one * before for now, before in zip(found, [0.0, *found], strict=False)]
