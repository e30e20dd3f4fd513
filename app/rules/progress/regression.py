"""A rich logistic regression on what can be counted: the strongest rival of the model.

Counts of clean rides and of others, on the manoeuvre and over all, as logarithms;
shares of clean rides, of all and of the last few; the wait. Each manoeuvre has a
height of its own, and slopes of its own for its two counts. Counts of successes and
failures are the "performance factors" of Pavlik, Cen and Koedinger, "Performance
factors analysis", 2009; with totals beside them and logarithms of both, the
regression that Gervet, Koedinger, Schneider and Mitchell, "When is deep learning the
best approach to knowledge tracing?", Journal of Educational Data Mining, 2020, found
hard to beat (both from memory).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from math import ceil, exp, log1p, sqrt
from operator import mul

from app.rules.progress.sequences import Attempt

FEATURES = 12
OWN_FEATURES = 3
"""How many features, the first, have a weight for each manoeuvre beside the common one."""

PASSES, FEWEST_STEPS = 6, 40_000
"""All attempts are gone through so often, or as often as gives this many steps: scikit-learn's
regression on the same features, fitted to the end, is better by up to 0.002 of log loss."""
STRIDE = 0.1
PULL = 1.0
"""How strongly all weights are held to 0: the precision of a normal prior."""

MIDDLE = 2.0 / 3.0
GOLDEN = (sqrt(5.0) - 1.0) / 2.0
"""Its multiples, less their whole parts, lie evenly and in no visible order."""

LAST_OF_ONE, LAST_OF_ALL = 3, 5
PRIOR_RIDES, PRIOR_CLEAN = 3.0, 2.0
MIDDLE = PRIOR_CLEAN / PRIOR_RIDES
"""What a share begins with."""

Features = tuple[float, ...]
Students = Sequence[Sequence[Attempt]]
Tick = Callable[[], None]


@dataclass(slots=True)
class _Weights:
    """Weights, and the sums of the squares of their steps (Duchi, Hazan and Singer, "Adaptive
    subgradient methods", 2011): what is often moved moves less and less."""

    now: list[float]
    squares: list[float]

    def step(self, features: Features, miss: float, pull: float) -> None:
        """One step against the miss of one attempt."""
        now, squares = self.now, self.squares
        for place in range(len(now)):
            slope = miss * features[place] - pull * now[place]
            squares[place] += slope * slope
            now[place] += STRIDE * slope / sqrt(squares[place])

    def add(self, other: _Weights, share: float) -> None:
        """Add so much of other weights."""
        for place, weight in enumerate(other.now):
            self.now[place] += share * weight


def _none(count: int) -> _Weights:
    return _Weights([0.0] * count, [1.0] * count)


@dataclass(slots=True)
class Regression:
    """The weights common to all manoeuvres, and those of each beside them."""

    common: _Weights = field(default_factory=lambda: _none(FEATURES))
    own: dict[int, _Weights] = field(default_factory=dict)

    def chances_of(self, student: Sequence[Attempt]) -> list[float]:
        """The chance of each attempt of one student before it was made."""
        before = zip(student, features_of(student), strict=True)
        return [self.chance(one.evidence.variant_id, features) for one, features in before]

    def chance(self, variant_id: int, features: Features) -> float:
        """The chance of a clean ride."""
        level = sum(map(mul, self.common.now, features))
        if variant_id in self.own:
            level += sum(map(mul, self.own[variant_id].now, features))
        return 1.0 / (1.0 + exp(-max(-30.0, min(30.0, level))))

    def learn(self, attempt: Attempt, features: Features, of_all: int, of_it: int) -> None:
        """One attempt more to learn from, one of so many of all and of its manoeuvre."""
        ride = attempt.evidence
        miss = ride.clean - self.chance(ride.variant_id, features)
        self.common.step(features, miss, PULL / of_all)
        own = self.own.setdefault(ride.variant_id, _none(OWN_FEATURES))
        own.step(features, miss, PULL / of_it)

    def add(self, other: Regression, share: float) -> None:
        """Add so much of the weights of another."""
        self.common.add(other.common, share)
        for variant_id, weights in other.own.items():
            self.own.setdefault(variant_id, _none(OWN_FEATURES)).add(weights, share)


def passes(students: Students) -> int:
    """How often :func:`regress` goes through these students."""
    steps = sum(map(len, students))
    return max(PASSES, ceil(FEWEST_STEPS / max(1, steps)))


def regress(students: Students, tick: Tick = lambda: None) -> Regression:
    """The regression fitted to these students, one attempt at a time.

    Its weights are the mean of those after each student in the second half of the
    passes (Polyak and Juditsky, "Acceleration of stochastic approximation by
    averaging", 1992): the last students seen would count for too much. ``tick`` is
    called once for each student in each pass.
    """
    seen = Counter(one.evidence.variant_id for student in students for one in student)
    total, rounds = seen.total(), passes(students)
    moving, mean = Regression(), Regression()
    for number in range(rounds):
        for student in _mixed(students, number):
            for attempt, features in zip(student, features_of(student), strict=True):
                moving.learn(attempt, features, total, seen[attempt.evidence.variant_id])
            if number >= rounds // 2:
                mean.add(moving, 1.0 / ((rounds - rounds // 2) * len(students)))
            tick()
    return mean


def _mixed(students: Students, number: int) -> Students:
    """The students in another order for each pass: as good as chance, and the same every time."""
    turn = GOLDEN * (number + 1)
    order = sorted(range(len(students)), key=lambda place: (place + 1) * turn % 1.0)
    return [students[place] for place in order]


@dataclass(slots=True)
class _Tally:
    """The rides so far of one manoeuvre, or of all."""

    clean: int = 0
    other: int = 0
    last: str = ""

    def add(self, clean: bool, kept: int) -> None:
        self.clean += clean
        self.other += not clean
        self.last = (self.last + "01"[clean])[-kept:]

    def share(self) -> float:
        return (self.clean + PRIOR_CLEAN) / (self.clean + self.other + PRIOR_RIDES)

    def share_of_last(self) -> float:
        return (self.last.count("1") + PRIOR_CLEAN) / (len(self.last) + PRIOR_RIDES)


def features_of(student: Sequence[Attempt]) -> Iterator[Features]:
    """What stands before each attempt of one student; 1 and the manoeuvre's two counts first.

    Logarithms and shares are moved towards 0 and taken as differences where they go
    together, and stretched to like sizes: single steps settle soon then.
    """
    tallies: dict[int, _Tally] = {}
    every = _Tally()
    for attempt in student:
        ride = attempt.evidence
        one = tallies.setdefault(ride.variant_id, _Tally())
        yield (
            1.0,
            log1p(one.clean) - 1.0,
            log1p(one.other) - 0.7,
            log1p(every.clean) - log1p(every.other) - 0.8,
            log1p(every.clean) + log1p(every.other) - 5.0,
            log1p(one.clean + one.other) - 1.5,
            4.0 * (one.share() - MIDDLE),
            4.0 * (every.share() - MIDDLE),
            4.0 * (one.share_of_last() - one.share()),
            4.0 * (every.share_of_last() - every.share()),
            (float(one.last[-1]) if one.last else 0.5) - MIDDLE,
            log1p(attempt.days) - 1.0,
        )
        one.add(ride.clean, LAST_OF_ONE)
        every.add(ride.clean, LAST_OF_ALL)
