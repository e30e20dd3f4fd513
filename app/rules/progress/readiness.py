"""The chance of passing the whole test, from the chances of its manoeuvres.

Passed: no serious or dangerous fault, and at most five riding faults over the
whole test (GOV.UK "Motorcycle and moped tests: module 1 off-road test"). A
manoeuvre that is too slow is ridden again once, and is then serious (common
practice). Where the emergency stop is failed the avoidance is not ridden
(common practice): such a test is failed already, so the chance is the same.

For a given student the manoeuvres are independent and the chance is exact: a
convolution of the riding faults without a serious one. The general level and
the form are shared by all manoeuvres, so that the whole is averaged over them
(Gauss-Hermite quadrature), not each manoeuvre by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import pi, sqrt
from operator import mul
from statistics import NormalDist

from app.rules.progress.model import form_at, logistic_of_belief, terms
from app.rules.progress.parameters import Parameters
from app.rules.progress.recalibration import UNTRIED, Recalibration, logistic, logit
from app.rules.progress.splits import Split, added, riding_faults, without_each
from app.rules.progress.state import GeneralState, VariantState

MOST_RIDING_FAULTS = 5
NODES = (-2.651961356835233, -1.673551628767471, -0.8162878828589647, 0.0)
WEIGHTS = (0.0009717812450995192, 0.05451558281912703, 0.4256072526101278, 0.8102646175568073)
"""Gauss-Hermite quadrature with seven nodes, the left half and the middle."""

MISFIT = 0.3
"""How far one student's chance may be off whatever the results say: a standard deviation on the
logit, about 7 points in the middle. Invented, and chosen so that ranges held the truth of four in
five simulated riders who learn in another way than the model thinks; the riders it is tested on
are others."""

SHARE_INSIDE = 0.8
"""The range is meant to hold the truth four times in five."""


@dataclass(frozen=True, slots=True)
class Belief:
    """One variant: the level without form, the variance of the own part of it, and the split."""

    level: float
    own_variance: float
    split: Split


@dataclass(frozen=True, slots=True)
class Manoeuvre:
    """One manoeuvre of the test; where it has several variants the examiner takes any."""

    manoeuvre_id: int
    variants: tuple[Belief, ...]


@dataclass(frozen=True, slots=True)
class Shared:
    """What all manoeuvres of one student share: the form expected, and the two variances."""

    form: float
    general_variance: float
    form_variance: float
    ceiling: float


@dataclass(frozen=True, slots=True)
class Gain:
    """How much the chance of passing would rise were this manoeuvre at its best."""

    manoeuvre_id: int
    rise: float


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What the rides alone say of a test: the chance, and the standard deviation of its logit.

    ``at_best`` gives the chance with each manoeuvre, by its id, ridden as well as anyone rides it.
    """

    chance: float
    deviation: float
    at_best: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Readiness:
    """The chance of passing today with its range, and what costs most, the most first."""

    chance: float
    low: float
    high: float
    gains: tuple[Gain, ...]


def belief_of(
    general: GeneralState,
    variant: VariantState,
    parameters: Parameters,
    split: Split,
    days: float = 0.0,
) -> Belief:
    """What is believed of one variant, ``days`` after its last ride."""
    opened = terms(general, variant, parameters, days)
    return Belief(opened.level - opened.form, variant.variance, split)


def shared_of(general: GeneralState, parameters: Parameters, idle: float = 0.0) -> Shared:
    """What the manoeuvres share, ``idle`` days after the last ride of anything."""
    fixed = parameters.constants
    form, form_variance = form_at(general, idle, fixed)
    return Shared(form, general.variance, form_variance, fixed.ceiling)


def readiness(
    manoeuvres: Sequence[Manoeuvre],
    shared: Shared,
    results: Recalibration = UNTRIED,
    most: int = MOST_RIDING_FAULTS,
) -> Readiness:
    """The chance of passing, its range, and what costs most. ValueError without a manoeuvre."""
    return told(reckoned(manoeuvres, shared, most), results)


def reckoned(
    manoeuvres: Sequence[Manoeuvre], shared: Shared, most: int = MOST_RIDING_FAULTS
) -> Reckoned:
    """What the rides alone say of the test. ValueError without a manoeuvre."""
    if not manoeuvres:
        raise ValueError("a test has at least one manoeuvre")
    chance, at_best = _each_at_its_best(manoeuvres, shared, most)
    return Reckoned(chance, _deviation(manoeuvres, shared, most), at_best)


def told(found: Reckoned, results: Recalibration) -> Readiness:
    """What is said of the test, once real results have had their say."""
    chance = results.of(found.chance)
    own = results.slope * found.deviation
    spread = sqrt(own**2 + results.variance_at(found.chance) + MISFIT**2)
    reach = NormalDist().inv_cdf(0.5 + SHARE_INSIDE / 2.0) * spread
    gains = [Gain(id_, max(0.0, results.of(best) - chance)) for id_, best in found.at_best]
    return Readiness(
        chance=chance,
        low=logistic(logit(chance) - reach),
        high=logistic(logit(chance) + reach),
        gains=tuple(sorted(gains, key=lambda gain: -gain.rise)),
    )


def pass_chance(
    manoeuvres: Sequence[Manoeuvre], shared: Shared, most: int = MOST_RIDING_FAULTS
) -> float:
    """The chance of passing, averaged over the general level and the form."""
    return sum(
        weight * passes([_faults(one, at, 0.0, shared.ceiling) for one in manoeuvres], most)
        for at, weight in _nodes(shared)
    )


def _nodes(shared: Shared) -> Iterator[tuple[float, float]]:
    """Shifts of all levels with their weights, which add to 1."""
    deviation = sqrt(2.0 * (shared.general_variance + shared.form_variance))
    for node, weight in zip(NODES, WEIGHTS, strict=True):
        for side in (node, -node) if node else (0.0,):
            yield shared.form + deviation * side, weight / sqrt(pi)


def passes(faults: Sequence[Sequence[float]], most: int = MOST_RIDING_FAULTS) -> float:
    """The chance of nothing serious and at most ``most`` riding faults, manoeuvres independent.

    Each entry gives the chances of 0, 1, 2 ... riding faults with nothing serious.
    """
    total = [1.0] + [0.0] * most
    for one in faults:
        total = added(total, list(one))
    return sum(total)


def _faults(manoeuvre: Manoeuvre, shift: float, variance: float, ceiling: float) -> list[float]:
    """Riding faults with all levels moved by ``shift``, and so much variance besides their own."""
    each = [
        riding_faults(
            ceiling * logistic_of_belief(b.level + shift, b.own_variance + variance), b.split
        )
        for b in manoeuvre.variants
    ]
    if len(each) == 1:
        return each[0]
    return [sum(column) / len(each) for column in zip(*each, strict=True)]


def _deviation(manoeuvres: Sequence[Manoeuvre], shared: Shared, most: int) -> float:
    """The standard deviation of the chance's logit: each uncertain part moved by one of its own.

    The form is no uncertainty of this kind: it differs from day to day whatever is known.
    """

    def faults(one: Manoeuvre, shift: float = 0.0) -> list[float]:
        return _faults(one, shared.form + shift, shared.form_variance, shared.ceiling)

    step = sqrt(shared.general_variance)
    low, high = ([faults(one, side) for one in manoeuvres] for side in (-step, step))
    total = (logit(passes(high, most)) - logit(passes(low, most))) ** 2
    others = without_each([faults(one) for one in manoeuvres], most)
    for manoeuvre, rest in zip(manoeuvres, others, strict=True):
        for worse, better in _moves(manoeuvre):
            before, after = (sum(map(mul, faults(one), rest)) for one in (worse, better))
            total += (logit(after) - logit(before)) ** 2
    return sqrt(total) / 2.0


def _moves(manoeuvre: Manoeuvre) -> Iterator[tuple[Manoeuvre, Manoeuvre]]:
    """The manoeuvre with each variant's level, and then its serious share, moved either way."""
    for index, belief in enumerate(manoeuvre.variants):
        own, share = sqrt(belief.own_variance), belief.split
        wide = sqrt(share.serious_variance)
        known = replace(belief, own_variance=0.0)
        pairs = [
            (replace(known, level=belief.level - own), replace(known, level=belief.level + own)),
            (
                replace(belief, split=share.with_serious(min(1.0, share.serious + wide))),
                replace(belief, split=share.with_serious(max(0.0, share.serious - wide))),
            ),
        ]
        for worse, better in pairs:
            yield _with(manoeuvre, index, worse), _with(manoeuvre, index, better)


def _with(manoeuvre: Manoeuvre, index: int, belief: Belief) -> Manoeuvre:
    variants = list(manoeuvre.variants)
    variants[index] = belief
    return replace(manoeuvre, variants=tuple(variants))


MASTERED = 6.0
"""A level so high that only the ceiling is left."""


def _each_at_its_best(
    manoeuvres: Sequence[Manoeuvre], shared: Shared, most: int
) -> tuple[float, tuple[tuple[int, float], ...]]:
    """The chance of passing, and for each manoeuvre what it were with that one at its best."""
    best = [_mastered(one) for one in manoeuvres]
    chance, chances = 0.0, [0.0] * len(best)
    for at, weight in _nodes(shared):
        faults = [_faults(one, at, 0.0, shared.ceiling) for one in manoeuvres]
        for place, rest in enumerate(without_each(faults, most)):
            there = _faults(best[place], at, 0.0, shared.ceiling)
            chances[place] += weight * sum(map(mul, there, rest))
        chance += weight * sum(map(mul, faults[-1], rest))
    ids = (one.manoeuvre_id for one in manoeuvres)
    return chance, tuple(zip(ids, chances, strict=True))


def _mastered(manoeuvre: Manoeuvre) -> Manoeuvre:
    best = tuple(replace(b, level=MASTERED, own_variance=0.0) for b in manoeuvre.variants)
    return replace(manoeuvre, variants=best)
