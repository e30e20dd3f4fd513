"""Yards and bikes as they are kept."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from uuid import uuid4

import pytest

from app.rules.categories import Category
from app.rules.refusal import Missing, Refused
from app.rules.yards.keeping import BikePlan, YardPlan
from app.store.database import Database
from app.store.yards import reads, writes
from tests.support.clock import START
from tests.support.diary import DESK

LONG = YardPlan("Long yard", 130, 45, 4)
BIKE = BikePlan("Bike 7", "qi24  xyz", Category.A, 650, 52.0, 195)


def _yard(database: Database, plan: YardPlan = LONG) -> int:
    return writes.add_yard(database, DESK, plan, uuid4(), START)


def _bike(database: Database, plan: BikePlan = BIKE) -> int:
    return writes.add_bike(database, DESK, plan, uuid4(), START)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"name": " "}, "name"),
        ({"length_m": 0}, "length_m"),
        ({"width_m": 2001}, "width_m"),
        ({"places": 0}, "places"),
        ({"length_m": 24.4, "width_m": 9.2, "places": 3}, "places"),
    ],
)
def test_a_yard_that_cannot_be_is_refused(
    either: Database, changes: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as caught:
        _yard(either, replace(LONG, **changes))
    assert [reason.field for reason in caught.value.reasons] == [field]
    with either.reading() as session:
        assert reads.yards(session) == ()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"label": ""}, "label"),
        ({"registration": "--"}, "registration"),
        ({"capacity_cc": 0}, "capacity_cc"),
        ({"capacity_cc": 10**30}, "capacity_cc"),
        ({"power_kw": 0.0}, "power_kw"),
        ({"kerb_kg": -1}, "kerb_kg"),
    ],
)
def test_a_bike_that_cannot_be_is_refused(
    either: Database, changes: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as caught:
        _bike(either, replace(BIKE, **changes))
    assert [reason.field for reason in caught.value.reasons] == [field]


def test_names_and_registrations_are_had_once(either: Database) -> None:
    _yard(either)
    _bike(either)
    with pytest.raises(Refused, match="a yard called Long yard already"):
        _yard(either)
    with pytest.raises(Refused, match=r"There is a Bike 7 already.*Another bike"):
        _bike(either, replace(BIKE, registration="QI24 xyz"))


def test_a_registration_is_kept_in_capitals(either: Database) -> None:
    made = _bike(either)
    with either.reading() as session:
        assert reads.bike(session, made).plan.registration == "QI24 XYZ"


def test_a_yard_is_changed_by_one_at_a_time(either: Database) -> None:
    made = _yard(either)
    closed = replace(LONG, open=False, avoidance_left=False)
    writes.edit_yard(either, DESK, made, 1, closed, START)
    with either.reading() as session:
        assert reads.yard(session, made) == reads.Yard(made, 2, closed)
    with pytest.raises(Refused, match="Someone changed this"):
        writes.edit_yard(either, DESK, made, 1, LONG, START)
    with pytest.raises(Missing):
        writes.edit_yard(either, DESK, 99, 1, LONG, START)


def test_a_bike_goes_off_the_road_for_a_reason_and_comes_back(either: Database) -> None:
    made = _bike(either)
    with pytest.raises(Refused, match="Write what is wrong"):
        writes.take_off_road(either, DESK, made, 1, " ", START)
    writes.take_off_road(either, DESK, made, 1, "Flat tyre", START)
    with either.reading() as session:
        off = reads.bike(session, made)
    assert (off.off_road_since, off.off_road_reason, off.version) == (START, "Flat tyre", 2)
    with pytest.raises(Refused, match="off the road already"):
        writes.take_off_road(either, DESK, made, 2, "Again", START)
    writes.put_back_on_road(either, DESK, made, 2, START)
    with either.reading() as session:
        assert reads.bike(session, made).off_road_since is None
    with pytest.raises(Missing):
        writes.put_back_on_road(either, DESK, 99, 1, START)


def test_a_bike_is_described_anew(either: Database) -> None:
    made = _bike(either)
    changed = replace(BIKE, kerb_kg=188, registration="QI24 XYZ")
    writes.edit_bike(either, DESK, made, 1, changed, START)
    with either.reading() as session:
        assert reads.bike(session, made).plan == changed
        assert [bike.id for bike in reads.bikes(session)] == [made]
