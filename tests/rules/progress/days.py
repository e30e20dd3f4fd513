"""The normal distribution, for simulated riders whose days differ."""

from __future__ import annotations

from collections.abc import Callable
from math import erf, pi, sqrt

from numpy.polynomial.hermite import hermgauss

NODES, WEIGHTS = (tuple(map(float, each)) for each in hermgauss(7))
"""NumPy's Gauss-Hermite quadrature."""


def average_day(value: Callable[[float], float]) -> float:
    """The mean of a value over standard normal days."""
    each = zip(NODES, WEIGHTS, strict=True)
    return sum(weight * value(sqrt(2.0) * node) for node, weight in each) / sqrt(pi)


def below(level: float) -> float:
    """The share of a standard normal number below a level."""
    return 0.5 * (1.0 + erf(level / sqrt(2.0)))
