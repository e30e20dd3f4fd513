"""How hard each manoeuvre is and what practice brings, estimated from rides with shrinkage.

Turn and turn about: the model is run over all students, and then each
manoeuvre's two figures are moved to what fits its rides best, everything else
held still (Newton steps on the penalised likelihood). Each figure is pulled
towards a prior: the shipped value, or the middle of all manoeuvres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from math import sqrt

from app.rules.progress.model import (
    SHRINK,
    advance,
    curve,
    logistic_of_belief,
    start_general,
    start_variant,
    terms,
)
from app.rules.progress.parameters import Parameters, Skill
from app.rules.progress.sequences import Attempt
from app.rules.progress.state import VariantState

ROUNDS = 8
"""Turns: on 150,000 attempts twice as many change the log loss by less than 0.0002."""
STEPS = 2
"""Newton steps in a turn: the figures and the students settle together."""

ENOUGH = 30
"""Attempts from which a manoeuvre tells of the population of manoeuvres."""
FEW = 5
"""Manoeuvres with enough attempts below which the population is left as given."""

SPREAD = Skill(ease=0.8, practice=0.5)
"""How far a school's manoeuvres may lie from the shipped values, as standard deviations: an
invented default, wide enough that some ten rides outweigh it."""
NEUTRAL = Skill(ease=0.0, practice=0.5)
"""Where the search begins for manoeuvres of which nothing is known."""
LEAST_SPREAD = Skill(ease=0.3, practice=0.1)

Students = Sequence[Sequence[Attempt]]
Tick = Callable[[], None]


@dataclass(frozen=True, slots=True)
class Seen:
    """One attempt as the two figures of its manoeuvre see it: the rest of the level, the curve,
    the shrinkage by the variance, and what happened."""

    rest: float
    curve: float
    scale: float
    clean: bool


@dataclass(frozen=True, slots=True)
class Estimate:
    """Parameters estimated from rides, and how many attempts each variant's figures rest on."""

    parameters: Parameters
    attempts: dict[int, int] = field(default_factory=dict)


def chances_of(student: Sequence[Attempt], parameters: Parameters) -> list[float]:
    """The chance given to each attempt of one student before it was made."""
    general, variants = start_general(parameters), dict[int, VariantState]()
    chances = []
    for attempt in student:
        ride = attempt.evidence
        before = variants.get(ride.variant_id) or start_variant(ride.variant_id, parameters)
        chance, general, variants[ride.variant_id] = advance(
            general, before, ride, parameters, attempt.days, attempt.idle
        )
        chances.append(chance)
    return chances


def estimate(students: Students, prior: Parameters, tick: Tick = lambda: None) -> Estimate:
    """A school's figures, each shrunk towards the shipped one in ``prior``."""
    found = prior
    seen: dict[int, list[Seen]] = {}
    for _ in range(ROUNDS):
        seen = _run(students, found, tick)
        found = replace(found, skills=_moved(seen, found, prior, SPREAD))
    return Estimate(found, {variant: len(rides) for variant, rides in seen.items()})


def estimate_population(students: Students, tick: Tick = lambda: None) -> Estimate:
    """The figures of manoeuvres of which nothing is known beforehand.

    Each is shrunk towards the middle of them all, which is also what an unseen
    manoeuvre gets; middle and spread come from the manoeuvres themselves.
    """
    found, spread = Parameters(unseen=NEUTRAL), SPREAD
    seen: dict[int, list[Seen]] = {}
    for _ in range(ROUNDS):
        seen = _run(students, found, tick)
        middle = replace(found, skills={})
        skills = _moved(seen, found, middle, spread)
        told = [skills[variant] for variant, rides in seen.items() if len(rides) >= ENOUGH]
        unseen, spread = _population(told) if len(told) >= FEW else (NEUTRAL, SPREAD)
        found = replace(found, skills=skills, unseen=unseen)
    return Estimate(found, {variant: len(rides) for variant, rides in seen.items()})


def _population(skills: Sequence[Skill]) -> tuple[Skill, Skill]:
    """Mean and spread of the manoeuvres' figures."""
    ease, ease_spread = _mean_and_spread([skill.ease for skill in skills])
    practice, practice_spread = _mean_and_spread([skill.practice for skill in skills])
    spread = Skill(max(LEAST_SPREAD.ease, ease_spread), max(LEAST_SPREAD.practice, practice_spread))
    return Skill(ease, practice), spread


def _mean_and_spread(figures: Sequence[float]) -> tuple[float, float]:
    mean = sum(figures) / len(figures)
    return mean, sqrt(sum((figure - mean) ** 2 for figure in figures) / len(figures))


def _run(students: Students, parameters: Parameters, tick: Tick) -> dict[int, list[Seen]]:
    """All attempts by variant, as the variant's figures see them under these parameters."""
    seen: dict[int, list[Seen]] = {}
    for student in students:
        for variant_id, one in _seen_of(student, parameters):
            seen.setdefault(variant_id, []).append(one)
        tick()
    return seen


def _seen_of(student: Sequence[Attempt], parameters: Parameters) -> Iterable[tuple[int, Seen]]:
    general, variants = start_general(parameters), dict[int, VariantState]()
    power = parameters.constants.power
    for attempt in student:
        ride, days, idle = attempt.evidence, attempt.days, attempt.idle
        before = variants.get(ride.variant_id) or start_variant(ride.variant_id, parameters)
        opened = terms(general, before, parameters, days, idle)
        rest = opened.first_clean + opened.general + opened.own + opened.form + opened.rust
        scale = 1.0 / sqrt(1.0 + SHRINK * opened.variance)
        yield ride.variant_id, Seen(rest, curve(before.rides, power), scale, ride.clean)
        _, general, variants[ride.variant_id] = advance(
            general, before, ride, parameters, days, idle
        )


def _moved(
    seen: dict[int, list[Seen]], current: Parameters, prior: Parameters, spread: Skill
) -> dict[int, Skill]:
    """Every variant's figures after some Newton steps; those without a ride stay."""
    skills = dict(current.skills)
    for variant_id, rides in seen.items():
        skill, centre = current.skill(variant_id), prior.skill(variant_id)
        for _ in range(STEPS):
            skill = _newton(rides, skill, centre, spread, current.constants.ceiling)
        skills[variant_id] = skill
    return skills


def _newton(
    rides: Sequence[Seen], skill: Skill, centre: Skill, spread: Skill, ceiling: float
) -> Skill:
    """One scoring step for two figures on the likelihood of the rides times a normal prior."""
    weight0, weight1 = spread.ease**-2, spread.practice**-2
    slope0 = (centre.ease - skill.ease) * weight0
    slope1 = (centre.practice - skill.practice) * weight1
    bend00, bend01, bend11 = weight0, 0.0, weight1
    for ride in rides:
        level = skill.ease + skill.practice * ride.curve + ride.rest
        curved = logistic_of_belief(level * ride.scale, 0.0)
        chance = ceiling * curved
        steep = ride.scale * (1.0 - curved) / (1.0 - chance)
        pull = (ride.clean - chance) * steep
        bend = chance * (1.0 - curved) * steep * ride.scale
        slope0 += pull
        slope1 += pull * ride.curve
        bend00 += bend
        bend01 += bend * ride.curve
        bend11 += bend * ride.curve * ride.curve
    whole = bend00 * bend11 - bend01 * bend01
    return Skill(
        skill.ease + (bend11 * slope0 - bend01 * slope1) / whole,
        skill.practice + (bend00 * slope1 - bend01 * slope0) / whole,
    )


@dataclass(frozen=True, slots=True)
class Change:
    """What an estimate changed for one variant, and how many attempts the new figures rest on."""

    variant_id: int
    before: Skill
    after: Skill
    attempts: int


def changes(before: Parameters, found: Estimate) -> tuple[Change, ...]:
    """What differs from the parameters so far, the largest change of ease first."""
    told = [
        Change(variant_id, before.skill(variant_id), after, found.attempts.get(variant_id, 0))
        for variant_id, after in found.parameters.skills.items()
        if after != before.skill(variant_id)
    ]
    return tuple(sorted(told, key=lambda one: -abs(one.after.ease - one.before.ease)))
