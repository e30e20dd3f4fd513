"""What the faults of a manoeuvre are: serious, too slow, or riding faults.

The school's faults in the manoeuvre are shrunk towards a starting guess, and the
student's own towards the school's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from math import exp, log
from operator import mul

GUESS_WEIGHT = 8.0
SCHOOL_WEIGHT = 10.0
"""How many faults the guess counts for in the school's shares, and the school's shares in the
student's. Invented: about as many as a student makes in a session or two."""

KEPT_FAULTS = 8
"""Riding faults in one manoeuvre are reckoned to this many: more than a pass allows."""


@dataclass(frozen=True, slots=True)
class FaultCounts:
    """The faults seen in rides of one manoeuvre; ``serious`` with the dangerous ones among them.

    ``again`` counts rides that were too slow and had to be ridden again.
    """

    serious: int = 0
    again: int = 0
    riding: int = 0


@dataclass(frozen=True, slots=True)
class Split:
    """Shares of a fault being serious and of being a ride that was too slow; the rest are riding
    faults. ``rests_on`` says how many faults the shares stand for."""

    serious: float
    again: float
    rests_on: float

    @property
    def serious_variance(self) -> float:
        """The variance of the serious share, as of a beta distribution."""
        return self.serious * (1.0 - self.serious) / (self.rests_on + 1.0)

    def with_serious(self, serious: float) -> Split:
        """The same with another serious share, the others in proportion."""
        kept = (1.0 - serious) / (1.0 - self.serious) if self.serious < 1.0 else 0.0
        return replace(self, serious=serious, again=self.again * kept)


GUESS = Split(serious=0.25, again=0.0, rests_on=GUESS_WEIGHT)
"""One fault in four serious. Invented; see the derivation beside the shipped figures of the
manoeuvres."""


def split(school: FaultCounts, own: FaultCounts) -> Split:
    """The student's shares, shrunk towards the school's, and those towards the guess."""
    return _shrunk(own, _shrunk(school, GUESS, GUESS_WEIGHT), SCHOOL_WEIGHT)


def _shrunk(faults: FaultCounts, towards: Split, weight: float) -> Split:
    total = faults.serious + faults.again + faults.riding + weight
    serious = (faults.serious + weight * towards.serious) / total
    return Split(serious, (faults.again + weight * towards.again) / total, total)


def riding_faults(chance: float, split: Split) -> list[float]:
    """Chances of 0, 1, 2 ... riding faults with nothing serious, when clean has this chance.

    They fall short of 1 by the chance of a serious fault. Faults are taken to come
    independently of each other (a Poisson count whose chance of none is ``chance``),
    so that the better the rider, the rarer are the serious among the rides that are
    not clean. A ride that was too slow is ridden again, with its faults still
    counted, and the second time must not be too slow. ``chance`` is above 0.
    """
    rate = -log(chance)
    mild = rate * (1.0 - split.serious - split.again)
    once, term = [], chance
    for count in range(1, KEPT_FAULTS + 1):
        once.append(term)
        term *= mild / count
    slow = exp(rate * split.again) - 1.0
    if slow <= 0.0:
        return once
    return [one + slow * twice for one, twice in zip(once, added(once, once), strict=True)]


def added(one: list[float], other: list[float]) -> list[float]:
    """The chances of the sum of two independent counts, to as many as ``one`` has."""
    size = len(one)
    turned = [0.0] * (size - len(other)) + other[size - 1 :: -1]
    return [sum(map(mul, one, turned[size - 1 - count :])) for count in range(size)]


def without_each(faults: Sequence[list[float]], most: int) -> Iterator[list[float]]:
    """For each manoeuvre, by what its chance of k riding faults is to be multiplied.

    That is the chance of at most ``most`` - k riding faults, and nothing serious, in
    all the others: the products add to the chance of passing.
    """
    none = [1.0] + [0.0] * most
    before = accumulate(faults[:-1], added, initial=none)
    after = list(accumulate(reversed(faults[1:]), added, initial=none))
    for left, right in zip(before, reversed(after), strict=True):
        yield list(accumulate(added(left, right)))[::-1]
