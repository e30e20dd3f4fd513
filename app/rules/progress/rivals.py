"""Rivals of the model, one step ahead, that it has to beat to be worth its words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.rules.progress.regression import Regression, Tick, regress
from app.rules.progress.sequences import Attempt

PRIOR_WEIGHT = 3.0
"""How many attempts the base rate counts for in the running mean and in the last three."""


@dataclass(frozen=True, slots=True)
class Rates:
    """Shares of clean attempts in the sequences that were fitted on."""

    overall: float
    by_variant: dict[int, float]

    def of(self, variant_id: int) -> float:
        """The share of a variant, or the overall one where it is unseen."""
        return self.by_variant.get(variant_id, self.overall)


def rates(outcomes: Iterable[tuple[int, bool]], weight: float = 5.0) -> Rates:
    """Shares per variant, each as if ``weight`` more attempts had come out as the overall share."""
    counts: dict[int, list[int]] = {}
    for variant_id, clean in outcomes:
        tally = counts.setdefault(variant_id, [0, 0])
        tally[0] += 1
        tally[1] += clean
    tried = sum(tally[0] for tally in counts.values())
    overall = sum(tally[1] for tally in counts.values()) / tried if tried else 0.5
    shares = {v: (t[1] + weight * overall) / (t[0] + weight) for v, t in counts.items()}
    return Rates(overall, shares)


@dataclass(frozen=True, slots=True)
class Known:
    """What the rivals have learnt from the students that were fitted on."""

    rates: Rates
    regression: Regression


def learn(students: Sequence[Sequence[Attempt]], tick: Tick = lambda: None) -> Known:
    """What the rivals know after these students; ``tick`` as in :func:`regress`."""
    rides = (attempt.evidence for student in students for attempt in student)
    shares = rates((ride.variant_id, ride.clean) for ride in rides)
    return Known(shares, regress(students, tick))


Rival = Callable[[Sequence[Attempt], Known], list[float]]


def base_rate(student: Sequence[Attempt], known: Known) -> list[float]:
    """Always the share of the manoeuvre."""
    return [known.rates.of(attempt.evidence.variant_id) for attempt in student]


def running_mean(student: Sequence[Attempt], known: Known) -> list[float]:
    """The student's own share on the manoeuvre so far, shrunk towards the manoeuvre's."""
    tallies: dict[int, tuple[int, int]] = {}
    chances = []
    for attempt in student:
        ride = attempt.evidence
        tried, clean = tallies.get(ride.variant_id, (0, 0))
        chances.append(_shrunk(clean, tried, known.rates.of(ride.variant_id)))
        tallies[ride.variant_id] = (tried + 1, clean + ride.clean)
    return chances


def last_three(student: Sequence[Attempt], known: Known) -> list[float]:
    """The student's last three attempts at the manoeuvre, shrunk towards its share."""
    ridden: dict[int, tuple[bool, ...]] = {}
    chances = []
    for attempt in student:
        ride = attempt.evidence
        last = ridden.get(ride.variant_id, ())
        chances.append(_shrunk(sum(last), len(last), known.rates.of(ride.variant_id)))
        ridden[ride.variant_id] = (*last, ride.clean)[-3:]
    return chances


def regression(student: Sequence[Attempt], known: Known) -> list[float]:
    """A logistic regression on counts, shares and the wait."""
    return known.regression.chances_of(student)


RIVALS: Mapping[str, Rival] = {
    "base_rate": base_rate,
    "running_mean": running_mean,
    "last_three": last_three,
    "regression": regression,
}


def _shrunk(clean: int, tried: int, base: float) -> float:
    return (clean + PRIOR_WEIGHT * base) / (tried + PRIOR_WEIGHT)
