"""The chance that the next ride is clean, as a sum that can be read aloud.

    level = how hard the manoeuvre is
          + what practice on it usually brings
          + something once it has been ridden clean
          + this student's general level
          + this student on this manoeuvre
          + form: how the last few rides went
          - rust, by the days since the last ride of it

The three student terms are normal beliefs with a mean and a variance. The chance
is the ceiling times the logistic curve of the level, shrunk towards the middle by
the variance. After each ride the beliefs move by variance times surprise (one
step of an extended Kalman filter), in the same time whatever came before.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from math import exp, log1p, pi, sqrt

from app.rules.progress.evidence import Evidence, in_order
from app.rules.progress.parameters import Constants, Parameters
from app.rules.progress.state import KEPT, GeneralState, LearnerState, VariantState

DAY_SECONDS = 86400.0
SHRINK = pi / 8.0
"""A logistic curve averaged over a normal belief of variance v is close to the curve
of level / sqrt(1 + pi v / 8): MacKay, "The evidence framework applied to classification
networks", Neural Computation, 1992 (from memory)."""

FAR = 30.0
"""Levels beyond this change no chance; cutting there keeps exp() from overflowing."""


@dataclass(frozen=True, slots=True)
class Terms:
    """One chance, opened: its terms on the logit scale and their variance."""

    ease: float
    practice: float
    first_clean: float
    general: float
    own: float
    form: float
    rust: float
    variance: float
    chance: float

    @property
    def level(self) -> float:
        """The sum of the terms."""
        told = self.ease + self.practice + self.first_clean
        return told + self.general + self.own + self.form + self.rust


def start(parameters: Parameters) -> LearnerState:
    """A student of whom no ride is known."""
    return LearnerState(general=start_general(parameters))


def start_general(parameters: Parameters) -> GeneralState:
    """The general state of a student of whom no ride is known."""
    fixed = parameters.constants
    return GeneralState(0.0, fixed.general_variance, 0.0, fixed.form_variance)


def start_variant(variant_id: int, parameters: Parameters) -> VariantState:
    """A variant that the student has not ridden yet."""
    return VariantState(variant_id, mean=0.0, variance=parameters.constants.own_variance)


def variant_of(state: LearnerState, variant_id: int, parameters: Parameters) -> VariantState:
    """What is known of a student on a variant; before any ride of it, where everyone starts."""
    return state.variants.get(variant_id) or start_variant(variant_id, parameters)


def curve(rides: int, power: float) -> float:
    """What so many rides of practice bring, before the weight: 0 at none, then ever more slowly."""
    return (math.pow(1.0 + rides, power) - 1.0) / power


def logistic_of_belief(level: float, variance: float) -> float:
    """The logistic curve averaged over a normal belief about the level, closely."""
    shrunk = level / sqrt(1.0 + SHRINK * variance)
    return 1.0 / (1.0 + exp(-max(-FAR, min(FAR, shrunk))))


def days_between(earlier: datetime | None, later: datetime) -> float:
    """Days from one instant to a later one; 0 without an earlier one or where it is not later."""
    if earlier is None:
        return 0.0
    return max(0.0, (later - earlier).total_seconds() / DAY_SECONDS)


def form_at(general: GeneralState, idle: float, fixed: Constants) -> tuple[float, float]:
    """Mean and variance of the form at the next ride, ``idle`` days after the last of any kind."""
    kept = fixed.form_kept
    if idle > 0.0:
        kept *= math.pow(fixed.form_kept_per_day, idle)
    spread = fixed.form_variance
    return kept * general.form_mean, spread + kept * kept * (general.form_variance - spread)


def terms(
    general: GeneralState,
    variant: VariantState,
    parameters: Parameters,
    days: float = 0.0,
    idle: float = 0.0,
) -> Terms:
    """The chance that a ride now is clean, with its terms.

    ``days`` have passed since the last ride of the variant, ``idle`` days since
    the last ride of anything.
    """
    fixed = parameters.constants
    skill = parameters.skill(variant.variant_id)
    practice = skill.practice * curve(variant.rides, fixed.power)
    first_clean = fixed.first_clean if variant.clean_rides else 0.0
    form, form_variance = form_at(general, idle, fixed)
    rust = -fixed.rust * log1p(days)
    variance = general.variance + variant.variance + form_variance
    level = skill.ease + practice + first_clean + general.mean + variant.mean + form + rust
    chance = fixed.ceiling * logistic_of_belief(level, variance)
    return Terms(
        skill.ease,
        practice,
        first_clean,
        general.mean,
        variant.mean,
        form,
        rust,
        variance,
        chance,
    )


def step_pair(
    general: GeneralState, variant: VariantState, evidence: Evidence, parameters: Parameters
) -> tuple[GeneralState, VariantState]:
    """Both states after one more ride, which must follow those already counted."""
    days = days_between(variant.last_at, evidence.ridden_at)
    idle = days_between(general.last_at, evidence.ridden_at)
    _, general, variant = advance(general, variant, evidence, parameters, days, idle)
    return general, variant


def advance(
    general: GeneralState,
    variant: VariantState,
    evidence: Evidence,
    parameters: Parameters,
    days: float,
    idle: float,
) -> tuple[float, GeneralState, VariantState]:
    """The chance before the ride, and both states after it, with the waits given in days."""
    fixed = parameters.constants
    skill = parameters.skill(variant.variant_id)
    form, form_variance = form_at(general, idle, fixed)
    level = skill.ease + general.mean + variant.mean + form
    if variant.rides:
        level += skill.practice * curve(variant.rides, fixed.power) - fixed.rust * log1p(days)
    if variant.clean_rides:
        level += fixed.first_clean
    general_variance, own_variance = general.variance, variant.variance
    variance = general_variance + own_variance + form_variance
    curved = logistic_of_belief(level, variance)
    chance = fixed.ceiling * curved
    surprise, lean = surprise_of(evidence.clean, chance, curved, variance)
    after = GeneralState(
        general.mean + general_variance * surprise,
        general_variance - general_variance * general_variance * lean + fixed.general_drift,
        form + form_variance * surprise,
        form_variance - form_variance * form_variance * lean,
        general.rides + 1,
        evidence.ridden_at,
        evidence.key,
    )
    own = variant.mean + own_variance * surprise
    spread = own_variance - own_variance * own_variance * lean + fixed.own_drift
    return chance, after, _counted(variant, evidence, own, spread)


def surprise_of(clean: bool, chance: float, curved: float, variance: float) -> tuple[float, float]:
    """By how much a mean moves, and a variance shrinks, per unit of its own variance.

    With p = ceiling * s, the slope of log P is (y - p)(1 - s)/(1 - p) and the
    information p (1 - s)^2/(1 - p); a ceiling of 1 leaves y - p and p (1 - p).
    """
    steep = (1.0 - curved) / (1.0 - chance)
    information = chance * (1.0 - curved) * steep
    shrink = 1.0 + information * variance
    return (clean - chance) * steep / shrink, information / shrink


def _counted(before: VariantState, ride: Evidence, mean: float, variance: float) -> VariantState:
    if not ride.clean:
        return VariantState(
            before.variant_id,
            mean,
            variance,
            before.rides + 1,
            before.clean_rides,
            recent=(before.recent + "0")[-KEPT:],
            last_at=ride.ridden_at,
        )
    sessions = before.run_sessions
    if ride.session_id not in sessions:
        sessions = (*sessions, ride.session_id)[-KEPT:]
    return VariantState(
        before.variant_id,
        mean,
        variance,
        before.rides + 1,
        before.clean_rides + 1,
        before.run + 1,
        sessions,
        (before.recent + "1")[-KEPT:],
        ride.ridden_at,
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
