"""What a ride's own facts must be before it is kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from app.rules.riding.recording import (
    CLOCK_TOLERANCE,
    MOST_FAULTS,
    NewFault,
    NewRide,
    objections,
)
from app.rules.riding.values import Severity, Side, SpeedSource
from tests.rules.riding.shipped import shipped_syllabus

NOW = datetime(2026, 11, 26, 9, 0, tzinfo=UTC)
CLEAN = NewRide(UUID(int=1), session_id=1, student_id=1, variant_id=1, ridden_at=NOW)
CONE = NewFault("cone_touched", Severity.SERIOUS, Side.LEFT)


def said(ride: NewRide, manoeuvre: str = "slalom") -> list[str]:
    """The objections to a ride of a shipped manoeuvre."""
    offered = {offer.kind.code: offer for offer in shipped_syllabus().offers(manoeuvre)}
    return list(objections(ride, offered, NOW))


def test_a_clean_ride_needs_nothing_more() -> None:
    assert said(CLEAN) == []


def test_faults_of_the_manoeuvre_are_kept_with_the_severity_that_the_instructor_gave() -> None:
    faults = (CONE, replace(CONE, side=Side.RIGHT), NewFault("looked_down", Severity.REMARK))
    assert said(replace(CLEAN, faults=faults)) == []
    assert said(replace(CLEAN, faults=(replace(CONE, severity=Severity.DANGEROUS),))) == []


@pytest.mark.parametrize("kmh", [0.0, 49.9, 50, 150])
def test_a_measured_speed_has_a_source(kmh: float) -> None:
    assert said(replace(CLEAN, speed_kmh=kmh, speed_source=SpeedSource.RADAR)) == []
    assert said(replace(CLEAN, speed_kmh=kmh)) == [
        "A speed needs its source, and a source needs a speed."
    ]


def test_a_source_without_a_speed_says_nothing() -> None:
    assert said(replace(CLEAN, speed_source=SpeedSource.GATE)) == [
        "A speed needs its source, and a source needs a speed."
    ]


@pytest.mark.parametrize("kmh", [-0.1, 150.1, 1e9, float("nan"), float("inf")])
def test_a_speed_that_no_rider_rides_is_refused(kmh: float) -> None:
    ride = replace(CLEAN, speed_kmh=kmh, speed_source=SpeedSource.GATE)
    assert said(ride) == ["A speed lies between 0 and 150 km/h."]


def test_a_speed_is_never_rounded_over_the_minimum_that_it_missed() -> None:
    ride = replace(CLEAN, speed_kmh=49.96, speed_source=SpeedSource.GATE)
    assert said(ride) == ["Write a speed with at most one decimal."]


def test_a_speed_from_floating_arithmetic_passes_as_one_decimal() -> None:
    assert said(replace(CLEAN, speed_kmh=0.1 + 0.2, speed_source=SpeedSource.GATE)) == []


@pytest.mark.parametrize(
    ("manoeuvre", "kind"), [("slow_ride", "cone_touched"), ("slalom", "line_crossed")]
)
def test_a_fault_that_the_manoeuvre_does_not_have_is_refused(manoeuvre: str, kind: str) -> None:
    ride = replace(CLEAN, faults=(NewFault(kind, Severity.SERIOUS),))
    assert said(ride, manoeuvre) == [
        "That fault is not one of this manoeuvre's. Load the page again."
    ]


def test_a_fault_without_sides_has_no_left_or_right() -> None:
    ride = replace(CLEAN, faults=(NewFault("stall", Severity.RIDING, Side.LEFT),))
    assert said(ride) == ["Stall has no left or right."]


def test_the_same_thing_is_recorded_once() -> None:
    assert said(replace(CLEAN, faults=(CONE, CONE))) == ["Record each thing once."]


def test_a_ride_holds_only_so_many_faults() -> None:
    faults = tuple(NewFault("stall", Severity.RIDING) for _ in range(MOST_FAULTS + 1))
    assert f"Record at most {MOST_FAULTS} things for one ride." in said(
        replace(CLEAN, faults=faults)
    )


@pytest.mark.parametrize("early", [timedelta(0), timedelta(days=60)])
def test_a_tablet_whose_clock_is_slow_loses_no_ride(early: timedelta) -> None:
    assert said(replace(CLEAN, ridden_at=NOW - early)) == []


def test_a_tablet_may_be_a_day_ahead_but_not_more() -> None:
    assert said(replace(CLEAN, ridden_at=NOW + CLOCK_TOLERANCE)) == []
    late = NOW + CLOCK_TOLERANCE + timedelta(seconds=1)
    assert said(replace(CLEAN, ridden_at=late)) == [
        "The tablet's clock is more than a day ahead. Set it right and send again."
    ]


def test_every_objection_is_said_at_once() -> None:
    ride = replace(CLEAN, speed_kmh=200.0, faults=(NewFault("nothing", Severity.RIDING),))
    assert len(said(ride)) == 3
