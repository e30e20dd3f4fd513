"""The chance of passing as it grows under practice, quick enough to try hundreds of blocks.

The same sum as :func:`app.rules.progress.readiness.pass_chance`: at each node of
the quadrature the chances of 0, 1 ... 5 riding faults with nothing serious are
convolved over the manoeuvres. Here the sum over all manoeuvres but one is kept,
so that trying more rides of that one is a single scalar product.
"""

from __future__ import annotations

from itertools import accumulate, chain
from math import pi, sqrt
from operator import mul

from app.rules.progress.model import logistic_of_belief
from app.rules.progress.plan_values import Part, Trainee, Way
from app.rules.progress.readiness import MOST_RIDING_FAULTS, NODES, WEIGHTS
from app.rules.progress.splits import riding_faults

Quadrature = tuple[tuple[float, float], ...]
Polynomials = list[list[float]]
"""For each node the chances of 0, 1 ... riding faults with nothing serious."""

FINE: Quadrature = tuple(
    (side, weight / sqrt(pi))
    for node, weight in zip(NODES, WEIGHTS, strict=True)
    for side in ((node, -node) if node else (0.0,))
)
"""The nodes of the chance that is told."""

COARSE: Quadrature = ((-sqrt(1.5), 1 / 6), (0.0, 2 / 3), (sqrt(1.5), 1 / 6))
"""Gauss-Hermite with three nodes: enough to tell which of two blocks brings more."""

TERMS = MOST_RIDING_FAULTS + 1
ONE = [1.0] + [0.0] * MOST_RIDING_FAULTS


class Chances:
    """One rider's chance of passing as rides are added; it changes with :meth:`ride`."""

    def __init__(self, trainee: Trainee, quadrature: Quadrature) -> None:
        shared = trainee.shared
        deviation = sqrt(2.0 * (shared.general_variance + shared.form_variance))
        self._shifts = [shared.form + deviation * node for node, _ in quadrature]
        self._weights = [weight for _, weight in quadrature]
        self._ceiling = shared.ceiling
        self._parts = trainee.parts
        self._where = {
            way.variant_id: (number, way)
            for number, part in enumerate(trainee.parts)
            for way in part.ways
        }
        self._known: dict[tuple[int, int], Polynomials] = {}
        self.ridden = dict.fromkeys(self._where, 0)
        self._now = [self._part(part) for part in trainee.parts]
        self._others: dict[int, list[float]] | None = None

    def chance(self) -> float:
        """The chance of passing after the rides so far."""
        total = 0.0
        for node, weight in enumerate(self._weights):
            faults = ONE
            for part in self._now:
                faults = _times(faults, part[node])
            total += weight * sum(faults)
        return total

    def tried(self, variant_id: int, more: int) -> float:
        """The chance of passing if ``more`` rides of a variant were added; KeyError if unknown."""
        number, way = self._where[variant_id]
        part = self._parts[number]
        after = self._of(way, self.ridden[variant_id] + more)
        if len(part.ways) > 1:
            before = self._of(way, self.ridden[variant_id])
            after = _replaced(self._now[number], before, after, len(part.ways))
        found: float = sum(map(mul, self._rest(number), chain.from_iterable(after)))
        return found

    def ride(self, variant_id: int, more: int) -> None:
        """Add rides of a variant. KeyError where it is not in the test."""
        number, _ = self._where[variant_id]
        self.ridden[variant_id] += more
        self._now[number] = self._part(self._parts[number])
        self._others = None

    def _part(self, part: Part) -> Polynomials:
        each = [self._of(way, self.ridden[way.variant_id]) for way in part.ways]
        if len(each) == 1:
            return each[0]
        share = 1.0 / len(each)
        return [
            [share * sum(column) for column in zip(*nodes, strict=True)]
            for nodes in zip(*each, strict=True)
        ]

    def _of(self, way: Way, more: int) -> Polynomials:
        known = self._known.get((way.variant_id, more))
        if known is None:
            belief, raised = way.belief, way.belief.level + way.raised(more)
            known = [
                riding_faults(
                    self._ceiling * logistic_of_belief(raised + shift, belief.own_variance),
                    belief.split,
                )[:TERMS]
                for shift in self._shifts
            ]
            self._known[way.variant_id, more] = known
        return known

    def _rest(self, number: int) -> list[float]:
        if self._others is None:
            self._others = dict(enumerate(self._all_others()))
        return self._others[number]

    def _all_others(self) -> list[list[float]]:
        """For each manoeuvre and node: by what k riding faults in it must be multiplied."""
        found: list[list[float]] = [[] for _ in self._parts]
        for node, weight in enumerate(self._weights):
            parts = [part[node] for part in self._now]
            before = list(accumulate(parts[:-1], _times, initial=ONE))
            after = list(accumulate(reversed(parts[1:]), _times, initial=ONE))[::-1]
            for rest, left, right in zip(found, before, after, strict=True):
                at_most = accumulate(_times(left, right))
                rest += [weight * chance for chance in at_most][::-1]
        return found


def _replaced(now: Polynomials, before: Polynomials, after: Polynomials, ways: int) -> Polynomials:
    """A manoeuvre of several variants with one of them changed."""
    return [
        [n + (a - b) / ways for n, b, a in zip(*nodes, strict=True)]
        for nodes in zip(now, before, after, strict=True)
    ]


def _times(one: list[float], other: list[float]) -> list[float]:
    """The chances of the sum of two counts, each list to MOST_RIDING_FAULTS."""
    turned = other[::-1]
    return [sum(map(mul, one, turned[TERMS - count - 1 :])) for count in range(TERMS)]
