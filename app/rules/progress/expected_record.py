"""What a whole test is expected to come to: what is ridden, what goes wrong, and where it ends.

The exercises are taken in their order. Where the emergency stop is failed the
avoidance is not ridden (common practice, no source): the chance of passing is the
same, since such a test is failed already, but its record is not. Everything is
averaged over the general level and the form, which all exercises share, by the
same quadrature as the chance of passing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, prod, sqrt

from app.rules.progress.model import logistic_of_belief
from app.rules.progress.plan_chances import FINE
from app.rules.progress.readiness import MOST_RIDING_FAULTS, Manoeuvre, Shared, pass_chance
from app.rules.progress.splits import Split


@dataclass(frozen=True, slots=True)
class ExpectedExercise:
    """One exercise: the chance that it is ridden at all, the chance of a serious or dangerous
    fault when it is, and the riding faults expected when it is."""

    manoeuvre_id: int
    ridden: float
    serious: float
    riding: float


@dataclass(frozen=True, slots=True)
class ExpectedRecord:
    """The whole test. ``passed``, ``serious`` and ``too_many`` are the chances of passing, of a
    serious or dangerous fault, and of too many riding faults and nothing worse: they add to 1.

    ``riding`` is how many riding faults are expected. Exercises stand in their order.
    """

    exercises: tuple[ExpectedExercise, ...]
    passed: float
    serious: float
    too_many: float
    riding: float

    @property
    def costliest(self) -> ExpectedExercise:
        """Where a serious fault is most likely to be seen, the earlier of equals."""
        return max(self.exercises, key=lambda one: one.ridden * one.serious)


@dataclass(frozen=True, slots=True)
class _Seen:
    """One exercise at one node: fails with this chance, and has so many riding faults."""

    fails: float
    riding: float


def expected_record(
    manoeuvres: Sequence[Manoeuvre],
    shared: Shared,
    left_out_after: Mapping[int, int],
    most: int = MOST_RIDING_FAULTS,
) -> ExpectedRecord:
    """The record expected of a test of these manoeuvres in this order.

    ``left_out_after`` gives, for a manoeuvre that is not ridden once another has
    failed, that other one. It is before any shift by real results. ValueError
    without a manoeuvre.
    """
    if not manoeuvres:
        raise ValueError("a test has at least one manoeuvre")
    deviation = sqrt(2.0 * (shared.general_variance + shared.form_variance))
    nodes = [(shared.form + deviation * node, weight) for node, weight in FINE]
    sums = {one.manoeuvre_id: [0.0, 0.0, 0.0] for one in manoeuvres}
    nothing_serious = 0.0
    for at, weight in nodes:
        seen = {one.manoeuvre_id: _seen(one, at, shared.ceiling) for one in manoeuvres}
        nothing_serious += weight * prod(1.0 - one.fails for one in seen.values())
        for one, found in seen.items():
            ridden = weight * _reached(one, seen, left_out_after)
            for place, part in enumerate((1.0, found.fails, found.riding)):
                sums[one][place] += ridden * part
    exercises = tuple(_exercise(one, *found) for one, found in sums.items())
    passed = pass_chance(manoeuvres, shared, most)
    return ExpectedRecord(
        exercises=exercises,
        passed=passed,
        serious=1.0 - nothing_serious,
        too_many=max(0.0, nothing_serious - passed),
        riding=sum(one.ridden * one.riding for one in exercises),
    )


def _exercise(manoeuvre_id: int, ridden: float, serious: float, riding: float) -> ExpectedExercise:
    return ExpectedExercise(manoeuvre_id, ridden, serious / ridden, riding / ridden)


def _reached(manoeuvre_id: int, seen: Mapping[int, _Seen], after: Mapping[int, int]) -> float:
    """The chance that an exercise is ridden."""
    other = seen.get(after.get(manoeuvre_id, -1))
    return 1.0 - other.fails if other else 1.0


def _seen(manoeuvre: Manoeuvre, at: float, ceiling: float) -> _Seen:
    each = [
        _of_rate(-log(ceiling * logistic_of_belief(b.level + at, b.own_variance)), b.split)
        for b in manoeuvre.variants
    ]
    count = len(each)
    return _Seen(sum(one.fails for one in each) / count, sum(one.riding for one in each) / count)


def _of_rate(rate: float, split: Split) -> _Seen:
    """One variant whose faults come at this rate a ride, by their shares.

    Too slow is ridden again once, the faults of both rides counted, and is
    serious the second time (common practice, no source).
    """
    mild = rate * (1.0 - split.serious - split.again)
    no_serious, in_time = exp(-rate * split.serious), exp(-rate * split.again)
    slow = 1.0 - in_time
    holds = no_serious * in_time * (1.0 + slow * no_serious)
    return _Seen(1.0 - holds, mild * (1.0 + slow))
