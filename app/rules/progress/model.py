"""The chance that the next ride is clean, as a sum that can be read aloud.

    logit P(clean) = how hard the manoeuvre is
                   + what practice on it usually brings
                   + this student's general level
                   + this student on this manoeuvre
                   - rust, by the days since the last ride of it

The two student terms are normal beliefs with a mean and a variance. After each
ride both move by variance times surprise (one step of an extended Kalman filter
on the logit), which takes the same time whatever came before.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from math import exp, log1p, pi, sqrt

from app.rules.progress.evidence import Evidence, in_order
from app.rules.progress.parameters import Parameters
from app.rules.progress.state import KEPT, GeneralState, LearnerState, VariantState

DAY_SECONDS = 86400.0


@dataclass(frozen=True, slots=True)
class Terms:
    """One chance, opened: five terms on the logit scale and how sure they are."""

    ease: float
    practice: float
    general: float
    own: float
    rust: float
    variance: float
    chance: float


def start(parameters: Parameters) -> LearnerState:
    """A student of whom no ride is known."""
    return LearnerState(general=start_general(parameters))


def start_general(parameters: Parameters) -> GeneralState:
    """The general level of a student of whom no ride is known."""
    return GeneralState(mean=0.0, variance=parameters.constants.general_variance)


def start_variant(variant_id: int, parameters: Parameters) -> VariantState:
    """A variant that the student has not ridden yet."""
    return VariantState(variant_id, mean=0.0, variance=parameters.constants.own_variance)


def curve(rides: int, power: float) -> float:
    """What so many rides of practice bring, before the weight: 0 at none, then ever more slowly."""
    return (math.pow(1.0 + rides, power) - 1.0) / power


def chance_of(level: float, variance: float, slope: float) -> float:
    """The chance for a normal belief about the logit, shrunk towards one half by its variance."""
    return 1.0 / (1.0 + exp(-slope * level / sqrt(1.0 + pi * variance / 8.0)))


def days_between(earlier: datetime | None, later: datetime) -> float:
    """Days from one instant to a later one; 0 without an earlier one or where it is not later."""
    if earlier is None:
        return 0.0
    return max(0.0, (later - earlier).total_seconds() / DAY_SECONDS)


def terms(
    general: GeneralState, variant: VariantState, parameters: Parameters, days: float
) -> Terms:
    """The chance that a ride ``days`` after the last one is clean, with its terms."""
    fixed = parameters.constants
    skill = parameters.skill(variant.variant_id)
    practice = skill.practice * curve(variant.rides, fixed.power)
    rust = -fixed.rust * log1p(days)
    variance = general.variance + variant.variance
    level = skill.ease + practice + general.mean + variant.mean + rust
    chance = chance_of(level, variance, fixed.slope)
    return Terms(skill.ease, practice, general.mean, variant.mean, rust, variance, chance)


def step_pair(
    general: GeneralState, variant: VariantState, evidence: Evidence, parameters: Parameters
) -> tuple[GeneralState, VariantState]:
    """Both states after one more ride, which must follow those already counted."""
    fixed = parameters.constants
    days = days_between(variant.last_at, evidence.ridden_at)
    chance = terms(general, variant, parameters, days).chance
    pull = fixed.slope * fixed.slope * chance * (1.0 - chance)
    shrink = 1.0 + pull * (general.variance + variant.variance)
    surprise = fixed.slope * (evidence.clean - chance) / shrink
    lean = pull / shrink
    return (
        GeneralState(
            mean=general.mean + general.variance * surprise,
            variance=general.variance * (1.0 - general.variance * lean) + fixed.general_drift,
            rides=general.rides + 1,
            last_at=evidence.ridden_at,
            last_key=evidence.key,
        ),
        _counted(
            variant,
            evidence,
            mean=variant.mean + variant.variance * surprise,
            variance=variant.variance * (1.0 - variant.variance * lean) + fixed.own_drift,
        ),
    )


def _counted(before: VariantState, ride: Evidence, mean: float, variance: float) -> VariantState:
    sessions: tuple[int, ...] = before.run_sessions if ride.clean else ()
    if ride.clean and ride.session_id not in sessions:
        sessions = (*sessions, ride.session_id)[-KEPT:]
    return VariantState(
        variant_id=before.variant_id,
        mean=mean,
        variance=variance,
        rides=before.rides + 1,
        clean_rides=before.clean_rides + ride.clean,
        run=before.run + 1 if ride.clean else 0,
        run_sessions=sessions,
        recent=(before.recent + ("1" if ride.clean else "0"))[-KEPT:],
        last_at=ride.ridden_at,
    )


def step(state: LearnerState, evidence: Evidence, parameters: Parameters) -> LearnerState:
    """The student after one more ride; ValueError where it does not follow the rides so far."""
    if not follows(state.general, evidence):
        raise ValueError("this ride is older than one already counted: rebuild the student")
    before = state.variants.get(evidence.variant_id)
    if before is None:
        before = start_variant(evidence.variant_id, parameters)
    general, variant = step_pair(state.general, before, evidence, parameters)
    return LearnerState(general, {**state.variants, evidence.variant_id: variant})


def follows(general: GeneralState, evidence: Evidence) -> bool:
    """Whether a ride may be stepped on top, or the student must be rebuilt by :func:`fold`."""
    return general.comes_after(evidence.ridden_at, evidence.key)


def fold(evidences: Iterable[Evidence], parameters: Parameters) -> LearnerState:
    """One student rebuilt from all rides that count, given in any order."""
    general = start_general(parameters)
    variants: dict[int, VariantState] = {}
    for evidence in in_order(evidences):
        before = variants.get(evidence.variant_id)
        if before is None:
            before = start_variant(evidence.variant_id, parameters)
        general, variants[evidence.variant_id] = step_pair(general, before, evidence, parameters)
    return LearnerState(general, variants)
