"""A school made of simulated riders: what it has learnt from those who left, and its forecasts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Protocol

from app.rules.progress.estimate import estimate
from app.rules.progress.evidence import Evidence
from app.rules.progress.model import days_between, fold, start_variant
from app.rules.progress.parameters import Parameters, shipped_parameters
from app.rules.progress.readiness import (
    Belief,
    Manoeuvre,
    Readiness,
    Reckoned,
    belief_of,
    reckoned,
    shared_of,
    told,
)
from app.rules.progress.recalibration import UNTRIED, Recalibration, recalibrate
from app.rules.progress.sequences import attempts_of_rides
from app.rules.progress.splits import FaultCounts, split

NAMES = "park wheel slalom figure_of_8 slow_ride u_turn controlled_stop emergency_stop"
CODES = dict(enumerate([*NAMES.split(), "avoidance", "avoidance"]))
MANOEUVRES = (*((variant,) for variant in range(8)), (8, 9))
SHIPPED = shipped_parameters(CODES)


class Ridden(Protocol):
    """What a school sees of a simulated rider."""

    evidence: list[Evidence]
    day: int

    def fault_counts(self, variant: int) -> FaultCounts:
        """The faults seen in the rides of a variant."""

    def pass_chance(self) -> float:
        """The true chance of passing today."""


@dataclass(frozen=True)
class Forecast:
    """What a school reckons from the rides of one rider, and the rider's true chance of passing."""

    reckoned: Reckoned
    truth: float

    def told(self, results: Recalibration = UNTRIED) -> Readiness:
        """What the school says once results have had their say."""
        return told(self.reckoned, results)


@dataclass(frozen=True)
class School:
    """What a school knows of riding; ``begun`` is the first day of its riders."""

    begun: datetime
    parameters: Parameters
    faults: dict[int, FaultCounts]

    def forecast(self, one: Ridden) -> Forecast:
        """What the rules reckon of a rider today."""
        state = fold(one.evidence, self.parameters)
        now = self.begun + timedelta(days=one.day)

        def belief(variant: int) -> Belief:
            known = state.variants.get(variant) or start_variant(variant, self.parameters)
            shares = split(self.faults.get(variant, FaultCounts()), one.fault_counts(variant))
            days = days_between(known.last_at, now)
            return belief_of(state.general, known, self.parameters, shares, days)

        idle = days_between(state.general.last_at, now)
        whole = [Manoeuvre(n, tuple(map(belief, ways))) for n, ways in enumerate(MANOEUVRES)]
        found = reckoned(whole, shared_of(state.general, self.parameters, idle))
        return Forecast(found, one.pass_chance())


def new_school(begun: datetime) -> School:
    """A school that has seen nobody yet."""
    return School(begun, SHIPPED, {})


def old_school(begun: datetime, past: Sequence[Ridden]) -> School:
    """A school that has seen these riders."""
    figures = estimate([attempts_of_rides(one.evidence) for one in past], SHIPPED).parameters
    return School(begun, figures, {v: _all_faults(past, v) for v in CODES})


def results_of(past: Sequence[Forecast], luck: int) -> Recalibration:
    """What a school learns from one test each, by the toss of a true coin."""
    dice = Random(luck)
    return recalibrate([(one.reckoned.chance, dice.random() < one.truth) for one in past])


def _all_faults(past: Sequence[Ridden], variant: int) -> FaultCounts:
    each = [one.fault_counts(variant) for one in past]
    return FaultCounts(
        serious=sum(one.serious for one in each),
        again=sum(one.again for one in each),
        riding=sum(one.riding for one in each),
    )
