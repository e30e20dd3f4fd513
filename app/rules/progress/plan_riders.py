"""A rider as a practice plan sees them, from what is known of them today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import log1p

from app.rules.progress.model import days_between, terms, variant_of
from app.rules.progress.parameters import Parameters
from app.rules.progress.plan_values import Part, Trainee, Way
from app.rules.progress.readiness import belief_of, shared_of
from app.rules.progress.recalibration import UNTRIED, Recalibration
from app.rules.progress.splits import GUESS, Split
from app.rules.progress.state import LearnerState
from app.rules.progress.target import Standing

TEST_IN_DAYS = 7.0
"""How far off the test is taken to be where none is booked. Invented."""


@dataclass(frozen=True, slots=True)
class Course:
    """The manoeuvres of the test in their order, each with its variants' ids."""

    manoeuvres: Sequence[tuple[int, tuple[int, ...]]]


@dataclass(frozen=True, slots=True)
class Brought:
    """What a rider brings: the state, and by variant the shares of serious faults and the standing.

    A variant without a standing counts as not yet ridden.
    """

    rider_id: int
    state: LearnerState
    splits: Mapping[int, Split]
    standings: Mapping[int, Standing]
    ruled_out: frozenset[int] = frozenset()
    days_to_test: float = TEST_IN_DAYS


def trainee(
    brought: Brought,
    course: Course,
    parameters: Parameters,
    now: datetime,
    results: Recalibration = UNTRIED,
) -> Trainee:
    """The rider at ``now``, an aware instant, with what practice today does by the test's day."""
    general = brought.state.general
    idle = days_between(general.last_at, now) + brought.days_to_test
    parts = tuple(
        Part(manoeuvre, place, tuple(_way(brought, each, parameters, now) for each in variants))
        for place, (manoeuvre, variants) in enumerate(course.manoeuvres, start=1)
    )
    shared = shared_of(general, parameters, idle)
    return Trainee(brought.rider_id, parts, shared, brought.ruled_out, results)


def _way(brought: Brought, variant_id: int, parameters: Parameters, now: datetime) -> Way:
    general = brought.state.general
    known = variant_of(brought.state, variant_id, parameters)
    since = days_between(known.last_at, now)
    coming = brought.days_to_test
    at_test = since + coming if known.rides else 0.0
    idle = days_between(general.last_at, now)
    fixed, split = parameters.constants, brought.splits.get(variant_id, GUESS)
    return Way(
        variant_id=variant_id,
        belief=belief_of(general, known, parameters, split, at_test),
        rides=known.rides,
        practice=parameters.skill(variant_id).practice,
        power=fixed.power,
        first_clean=0.0 if known.clean_rides else fixed.first_clean,
        rust=fixed.rust * (log1p(at_test) - log1p(coming)),
        clean=terms(general, known, parameters, since, idle).chance,
        standing=brought.standings.get(variant_id, Standing.NOT_RIDDEN),
    )
