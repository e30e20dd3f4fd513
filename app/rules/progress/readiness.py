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
from math import exp, log, pi, sqrt
from statistics import NormalDist

from app.rules.progress.model import form_at, logistic_of_belief, terms
from app.rules.progress.parameters import Parameters
from app.rules.progress.splits import Split, added, riding_faults
from app.rules.progress.state import GeneralState, VariantState

MOST_RIDING_FAULTS = 5
NODES = (-2.651961356835233, -1.673551628767471, -0.8162878828589647, 0.0)
WEIGHTS = (0.0009717812450995192, 0.05451558281912703, 0.4256072526101278, 0.8102646175568073)
"""Gauss-Hermite quadrature with seven nodes, the left half and the middle."""

RESULT_DEVIATION = 0.35
"""How far the chances of all students together may be off before real results say better: a
standard deviation on the logit, about 9 points in the middle. Invented."""

MISFIT = 0.45
"""How far one student's chance may be off whatever the results say, likewise: about 11 points.
Invented, and checked: for simulated riders who learn in another way than the model thinks, the
ranges hold the truth about as often as they claim."""

SHARE_INSIDE = 0.8
"""The range is meant to hold the truth four times in five."""
NEAREST = 1e-6


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
class Recalibration:
    """What real results say about the chances given before them: add ``shift`` on the logit."""

    shift: float = 0.0
    variance: float = RESULT_DEVIATION**2
    rests_on: int = 0

    def of(self, chance: float) -> float:
        """The chance after the shift."""
        return _logistic(_logit(chance) + self.shift)


UNTRIED = Recalibration()


@dataclass(frozen=True, slots=True)
class Gain:
    """How much the chance of passing would rise were this manoeuvre at its best."""

    manoeuvre_id: int
    rise: float


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


def recalibrate(results: Sequence[tuple[float, bool]]) -> Recalibration:
    """One shift for all chances of passing, from (chance given, passed), shrunk towards none."""
    shift, bend = 0.0, 1.0 / RESULT_DEVIATION**2
    for _ in range(20):
        slope, bend = -shift / RESULT_DEVIATION**2, 1.0 / RESULT_DEVIATION**2
        for given, passed in results:
            chance = _logistic(_logit(given) + shift)
            slope += passed - chance
            bend += chance * (1.0 - chance)
        shift += slope / bend
    return Recalibration(shift, 1.0 / bend, len(results))


def readiness(
    manoeuvres: Sequence[Manoeuvre],
    shared: Shared,
    results: Recalibration = UNTRIED,
    most: int = MOST_RIDING_FAULTS,
) -> Readiness:
    """The chance of passing, its range, and what costs most. ValueError without a manoeuvre."""
    if not manoeuvres:
        raise ValueError("a test has at least one manoeuvre")
    said = pass_chance(manoeuvres, shared, most)
    chance = results.of(said)
    spread = sqrt(_spread(manoeuvres, shared, most) ** 2 + results.variance + MISFIT**2)
    reach = NormalDist().inv_cdf(0.5 + SHARE_INSIDE / 2.0) * spread
    gains = [
        Gain(one.manoeuvre_id, max(0.0, results.of(pass_chance(best, shared, most)) - chance))
        for one, best in _each_at_its_best(manoeuvres)
    ]
    return Readiness(
        chance=chance,
        low=_logistic(_logit(chance) - reach),
        high=_logistic(_logit(chance) + reach),
        gains=tuple(sorted(gains, key=lambda gain: -gain.rise)),
    )


def pass_chance(
    manoeuvres: Sequence[Manoeuvre], shared: Shared, most: int = MOST_RIDING_FAULTS
) -> float:
    """The chance of passing, averaged over the general level and the form."""
    deviation = sqrt(2.0 * (shared.general_variance + shared.form_variance))
    total = 0.0
    for node, weight in zip(NODES, WEIGHTS, strict=True):
        for side in (node, -node) if node else (0.0,):
            at = shared.form + deviation * side
            total += weight * _passes(manoeuvres, at, 0.0, shared.ceiling, most)
    return total / sqrt(pi)


def passes(faults: Sequence[Sequence[float]], most: int = MOST_RIDING_FAULTS) -> float:
    """The chance of nothing serious and at most ``most`` riding faults, manoeuvres independent.

    Each entry gives the chances of 0, 1, 2 ... riding faults with nothing serious.
    """
    total = [1.0] + [0.0] * most
    for one in faults:
        total = added(total, list(one))
    return sum(total)


def _passes(
    manoeuvres: Sequence[Manoeuvre], shift: float, variance: float, ceiling: float, most: int
) -> float:
    """The chance with all levels moved by ``shift``, each with so much variance besides its own."""
    return passes([_faults(one, shift, variance, ceiling) for one in manoeuvres], most)


def _faults(manoeuvre: Manoeuvre, shift: float, variance: float, ceiling: float) -> list[float]:
    each = [
        riding_faults(
            ceiling * logistic_of_belief(b.level + shift, b.own_variance + variance), b.split
        )
        for b in manoeuvre.variants
    ]
    return [sum(column) / len(each) for column in zip(*each, strict=True)]


def _spread(manoeuvres: Sequence[Manoeuvre], shared: Shared, most: int) -> float:
    """The standard deviation of the chance's logit: each uncertain part moved by one of its own.

    The form is no uncertainty of this kind: it differs from day to day whatever is known.
    """

    def logit(tried: Sequence[Manoeuvre], shift: float = 0.0) -> float:
        at = shared.form + shift
        return _logit(_passes(tried, at, shared.form_variance, shared.ceiling, most))

    step = sqrt(shared.general_variance)
    total = (logit(manoeuvres, step) - logit(manoeuvres, -step)) ** 2
    for place, manoeuvre in enumerate(manoeuvres):
        for index in range(len(manoeuvre.variants)):
            for low, high in _moves(manoeuvre, index):
                before, after = list(manoeuvres), list(manoeuvres)
                before[place], after[place] = low, high
                total += (logit(after) - logit(before)) ** 2
    return sqrt(total) / 2.0


def _moves(manoeuvre: Manoeuvre, index: int) -> list[tuple[Manoeuvre, Manoeuvre]]:
    """The manoeuvre with one variant's level, and then its serious share, moved down and up."""
    belief = manoeuvre.variants[index]
    own = sqrt(belief.own_variance)
    share = belief.split.serious
    wide = sqrt(belief.split.serious_variance)
    worse = belief.split.with_serious(min(1.0, share + wide))
    better = belief.split.with_serious(max(0.0, share - wide))
    pairs = [
        (
            replace(belief, level=belief.level - own, own_variance=0.0),
            replace(belief, level=belief.level + own, own_variance=0.0),
        ),
        (replace(belief, split=worse), replace(belief, split=better)),
    ]
    return [(_with(manoeuvre, index, low), _with(manoeuvre, index, high)) for low, high in pairs]


def _with(manoeuvre: Manoeuvre, index: int, belief: Belief) -> Manoeuvre:
    variants = list(manoeuvre.variants)
    variants[index] = belief
    return replace(manoeuvre, variants=tuple(variants))


MASTERED = 6.0
"""A level so high that only the ceiling is left."""


def _each_at_its_best(
    manoeuvres: Sequence[Manoeuvre],
) -> Iterator[tuple[Manoeuvre, list[Manoeuvre]]]:
    """Each manoeuvre, with the whole test in which it is as good as any rider's."""
    for place, manoeuvre in enumerate(manoeuvres):
        best = tuple(replace(b, level=MASTERED, own_variance=0.0) for b in manoeuvre.variants)
        tried = list(manoeuvres)
        tried[place] = replace(manoeuvre, variants=best)
        yield manoeuvre, tried


def _logit(chance: float) -> float:
    kept = min(1.0 - NEAREST, max(NEAREST, chance))
    return log(kept / (1.0 - kept))


def _logistic(level: float) -> float:
    return 1.0 / (1.0 + exp(-level))
