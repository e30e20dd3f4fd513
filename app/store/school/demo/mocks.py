"""Mock tests in the demo: the whole course once, in order, as on the day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from uuid import UUID

from app.rules.riding.values import Outcome, Side
from app.store.school.demo.riders import CourseVariant, Rider, SimulatedRide

_STEP = timedelta(minutes=2)
_FAILED = (Outcome.SERIOUS, Outcome.DANGEROUS)


@dataclass(frozen=True, slots=True)
class DemoMock:
    """One mock test: the side of its avoidance, and when it began and ended."""

    id: UUID
    session_id: int
    student: int
    instructor: int
    side: Side
    started_at: datetime
    ended_at: datetime


def lines_of(course: Sequence[CourseVariant], side: Side) -> list[CourseVariant]:
    """The variants that a test rides, in order, with the avoidance to one side."""
    return [each for each in course if each.manoeuvre != "avoidance" or each.code == side]


def ride_test(
    rng: Random, rider: Rider, lines: Sequence[CourseVariant], day: int, load: float
) -> Iterator[SimulatedRide]:
    """Ride a test: a slow ride is ridden again, and nothing after a failed emergency stop."""
    for variant in lines:
        ride = rider.ride(rng, variant, day, load)
        yield ride
        if ride.outcome is Outcome.RIDE_AGAIN:
            ride = rider.ride(rng, variant, day, load, second_try=True)
            yield ride
        if variant.manoeuvre == "emergency_stop" and ride.outcome in _FAILED:
            return


def moments(start: datetime, count: int) -> list[datetime]:
    """When the rides of a test were ridden."""
    return [start + _STEP * number for number in range(count)]
