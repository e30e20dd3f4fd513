"""From what is known of a student to the chance of passing the whole test today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from app.rules.progress.model import days_between, variant_of
from app.rules.progress.parameters import Parameters
from app.rules.progress.readiness import (
    Belief,
    Manoeuvre,
    Readiness,
    Shared,
    belief_of,
    pass_chance,
    readiness,
    shared_of,
)
from app.rules.progress.recalibration import UNTRIED, Recalibration
from app.rules.progress.splits import FaultCounts, Split, split
from app.rules.progress.state import LearnerState

Parts = Sequence[tuple[int, tuple[int, ...]]]
"""The manoeuvres of the test in their order, each with the ids of its variants."""

Counts = Mapping[int, FaultCounts]
"""The faults in rides of each variant, by its id."""


@dataclass(frozen=True, slots=True)
class School:
    """What all students of a school share: the test, the model, the faults, the real results."""

    parts: Parts
    parameters: Parameters
    faults: Counts
    results: Recalibration = UNTRIED


def prospects(
    state: LearnerState, school: School, own: Counts, now: datetime | None = None
) -> Readiness:
    """The chance of passing at ``now`` with its range; at the last ride where that is None."""
    manoeuvres, shared = whole_test(state, school, own, now)
    return readiness(manoeuvres, shared, school.results)


def rough_chance(state: LearnerState, parts: Parts, parameters: Parameters, own: Counts) -> float:
    """The chance right after the last ride, from the student's own rides alone; 0 without a test.

    It follows from one student's rides and nothing else, so that it can be kept
    with them and lists can be put in order by it.
    """
    if not parts:
        return 0.0
    return pass_chance(*whole_test(state, School(parts, parameters, {}), own))


def whole_test(
    state: LearnerState, school: School, own: Counts, now: datetime | None = None
) -> tuple[list[Manoeuvre], Shared]:
    """Every manoeuvre of the test as the student brings it, and what they share."""
    at = now or state.general.last_at
    shares = splits(school.parts, school.faults, own)
    manoeuvres = [
        Manoeuvre(id_, tuple(_belief(state, each, school, shares[each], at) for each in variants))
        for id_, variants in school.parts
    ]
    idle = days_between(state.general.last_at, at) if at else 0.0
    return manoeuvres, shared_of(state.general, school.parameters, idle)


def splits(parts: Parts, school: Counts, own: Counts) -> dict[int, Split]:
    """The shares of each variant, which are those of its manoeuvre."""
    found: dict[int, Split] = {}
    for _, variants in parts:
        shares = split(_together(school, variants), _together(own, variants))
        found |= dict.fromkeys(variants, shares)
    return found


def _belief(
    state: LearnerState, variant_id: int, school: School, shares: Split, at: datetime | None
) -> Belief:
    known = variant_of(state, variant_id, school.parameters)
    days = days_between(known.last_at, at) if at else 0.0
    return belief_of(state.general, known, school.parameters, shares, days)


def _together(counts: Counts, variants: tuple[int, ...]) -> FaultCounts:
    seen = [counts[each] for each in variants if each in counts]
    return FaultCounts(
        serious=sum(one.serious for one in seen),
        again=sum(one.again for one in seen),
        riding=sum(one.riding for one in seen),
    )
