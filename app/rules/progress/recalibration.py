"""What real results say about the chances of passing that were given before them.

The logit of a chance is moved by a shift and stretched by a slope, both found
from (chance given, passed) and shrunk towards leaving it as it is. The slope is
sought as its logarithm, so that it stays above 0: whoever was the likelier to
pass stays so, whatever the results.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, log1p

SHIFT_DEVIATION = 0.5
"""How far all chances together may be off before real results say better: a standard deviation
on the logit, 12 points in the middle. Invented, and checked on simulated schools: chances from the
shipped figures were 0.3 to 0.55 off."""

SLOPE_DEVIATION = 0.25
"""How much too timid or too bold they may be, likewise: a standard deviation of the slope's
logarithm. Invented, and checked likewise: the slopes found were 0.95 to 1.2."""

FARTHEST = 2.0
"""The largest logarithm of a slope that is sought: it keeps exp() from overflowing."""

TURNS = 30
SETTLED = 1e-10
"""A step this small ends the search."""

NEAREST = 1e-6


@dataclass(frozen=True, slots=True)
class Recalibration:
    """The logit of every chance times ``slope`` plus ``shift``, and how sure that is.

    ``shift_variance`` is the variance of the shift, ``slope_variance`` that of the
    slope's logarithm. ``rests_on`` says how many real results it stands on.
    """

    shift: float = 0.0
    slope: float = 1.0
    shift_variance: float = SHIFT_DEVIATION**2
    slope_variance: float = SLOPE_DEVIATION**2
    covariance: float = 0.0
    rests_on: int = 0

    def of(self, chance: float) -> float:
        """What the results make of a chance."""
        return logistic(self.shift + self.slope * logit(chance))

    def variance_at(self, chance: float) -> float:
        """The variance, on the logit, of what they make of a chance."""
        turned = self.slope * logit(chance)
        return self.shift_variance + turned * (2.0 * self.covariance + turned * self.slope_variance)


UNTRIED = Recalibration()


@dataclass(frozen=True, slots=True)
class _Point:
    """Where the search stands: a shift, and the logarithm of a slope."""

    shift: float = 0.0
    bend: float = 0.0


@dataclass(frozen=True, slots=True)
class _Pull:
    """The slopes of the log posterior at a point, and the information there."""

    shift: float
    bend: float
    shift_shift: float
    shift_bend: float
    bend_bend: float

    @property
    def whole(self) -> float:
        """The determinant of the information."""
        return self.shift_shift * self.bend_bend - self.shift_bend**2

    def step(self) -> _Point:
        """The scoring step from here."""
        return _Point(
            (self.bend_bend * self.shift - self.shift_bend * self.bend) / self.whole,
            (self.shift_shift * self.bend - self.shift_bend * self.shift) / self.whole,
        )


Results = Sequence[tuple[float, bool]]


def recalibrate(results: Results) -> Recalibration:
    """Shift and slope from (chance given, passed), shrunk towards none.

    The mode of the posterior and its normal approximation there. Fisher's scoring;
    a step that would make it worse is halved until it does not.
    """
    seen = [(logit(given), passed) for given, passed in results]
    at, height = _Point(), _height(seen, _Point())
    for _ in range(TURNS):
        step = _pull(seen, at).step()
        at, before = _climbed(seen, at, step, height), height
        height = _height(seen, at)
        if height - before < SETTLED:
            break
    pull = _pull(seen, at)
    return Recalibration(
        shift=at.shift,
        slope=exp(at.bend),
        shift_variance=pull.bend_bend / pull.whole,
        slope_variance=pull.shift_shift / pull.whole,
        covariance=-pull.shift_bend / pull.whole,
        rests_on=len(results),
    )


def _climbed(seen: Results, at: _Point, step: _Point, height: float) -> _Point:
    share = 1.0
    while share > SETTLED:
        tried = _Point(at.shift + share * step.shift, at.bend + share * step.bend)
        if tried.bend < FARTHEST and _height(seen, tried) >= height:
            return tried
        share /= 2.0
    return at


def _height(seen: Results, at: _Point) -> float:
    """The logarithm of the posterior, but for a constant."""
    slope = exp(at.bend)
    total = -((at.shift / SHIFT_DEVIATION) ** 2 + (at.bend / SLOPE_DEVIATION) ** 2) / 2.0
    for level, passed in seen:
        moved = at.shift + slope * level
        total -= log1p(exp(-moved if passed else moved))
    return total


def _pull(seen: Results, at: _Point) -> _Pull:
    slope = exp(at.bend)
    shift, bend = -at.shift / SHIFT_DEVIATION**2, -at.bend / SLOPE_DEVIATION**2
    shift_shift, shift_bend, bend_bend = SHIFT_DEVIATION**-2, 0.0, SLOPE_DEVIATION**-2
    for level, passed in seen:
        turned = slope * level
        chance = logistic(at.shift + turned)
        short, weight = passed - chance, chance * (1.0 - chance)
        shift += short
        bend += short * turned
        shift_shift += weight
        shift_bend += weight * turned
        bend_bend += weight * turned * turned
    return _Pull(shift, bend, shift_shift, shift_bend, bend_bend)


def logit(chance: float) -> float:
    """The logit of a chance, which is kept off 0 and 1."""
    kept = min(1.0 - NEAREST, max(NEAREST, chance))
    return log(kept / (1.0 - kept))


def logistic(level: float) -> float:
    """The chance whose logit this is."""
    return 1.0 / (1.0 + exp(-level))
