"""The normal distribution, for simulated riders whose days differ."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import erf, pi, sqrt

from numpy.polynomial.hermite import hermgauss

from app.rules.progress.readiness import passes

NODES, WEIGHTS = (tuple(map(float, each)) for each in hermgauss(7))
"""NumPy's Gauss-Hermite quadrature."""


def average_day(value: Callable[[float], float]) -> float:
    """The mean of a value over standard normal days."""
    each = zip(NODES, WEIGHTS, strict=True)
    return sum(weight * value(sqrt(2.0) * node) for node, weight in each) / sqrt(pi)


def pass_chance(
    faults: Callable[[int, float], list[float]], manoeuvres: Iterable[Sequence[int]]
) -> float:
    """The chance of passing on an average day; any variant of a manoeuvre may be asked for.

    ``faults`` gives, for a variant and a day, the chances of 0, 1 ... riding faults with
    nothing serious.
    """
    asked = [tuple(variants) for variants in manoeuvres]

    def on(day: float) -> float:
        each = [[faults(variant, day) for variant in variants] for variants in asked]
        return passes([[sum(c) / len(ways) for c in zip(*ways, strict=True)] for ways in each])

    return average_day(on)


def below(level: float) -> float:
    """The share of a standard normal number below a level."""
    return 0.5 * (1.0 + erf(level / sqrt(2.0)))
