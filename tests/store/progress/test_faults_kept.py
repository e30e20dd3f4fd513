"""The faults kept with the standings, and the chance that lists are put in order by."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from app.rules.progress.splits import FaultCounts
from app.rules.riding.recording import NewFault
from app.store.database import Database
from app.store.progress.kept import faults_of, parts_of_test, school_faults
from app.store.progress.tables import LearnerRow
from app.store.progress.writes import strike_out
from app.store.riding.tables import VariantRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.riding import CONE, LOOKED_DOWN, STALL, a_ride, ines, record, timed, variant


def test_faults_are_counted_by_gravity_and_slow_rides_apart(either: Database, who: Cast) -> None:
    slalom, left = variant(either, "slalom"), variant(either, "avoidance", "left")
    record(
        either,
        who,
        a_ride(who, slalom, who.session, 1, faults=(CONE, STALL, LOOKED_DOWN)),
        a_ride(who, slalom, who.session, 2, faults=(STALL,)),
        a_ride(who, left, who.session, 3, **timed(40.0)),
        a_ride(who, left, who.session, 4, second_try=True, **timed(40.0)),
    )
    wanted = {slalom: FaultCounts(1, 0, 2), left: FaultCounts(1, 1, 0)}
    with either.reading() as session:
        assert faults_of(session, who.learner) == wanted
        assert school_faults(session) == wanted


def test_a_ride_struck_out_takes_its_faults_along(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    bad, _ = record(
        either,
        who,
        a_ride(who, slalom, who.session, 1, faults=(CONE,)),
        a_ride(who, slalom, who.session, 2),
    )
    strike_out(either, ines(who), bad, "The wrong rider", START)
    with either.reading() as session:
        assert school_faults(session) == {slalom: FaultCounts()}


def test_the_rough_chance_rises_with_clean_rides_and_falls_with_faults(
    either: Database, who: Cast
) -> None:
    said = [rough(either, who, a) for a in ((1, ()), (2, ()), (3, (CONE,)))]
    assert said[0] < said[1] > said[2] > 0


def rough(database: Database, who: Cast, ride: tuple[int, tuple[NewFault, ...]]) -> float:
    """The chance kept after one more ride of the slalom."""
    minutes, faults = ride
    slalom = variant(database, "slalom")
    record(database, who, a_ride(who, slalom, who.session, minutes, faults=faults))
    with database.reading() as session:
        found = select(LearnerRow.rough_chance).where(LearnerRow.student_id == who.learner)
        return session.scalars(found).one()


def test_a_variant_that_is_retired_is_no_part_of_the_test(either: Database, who: Cast) -> None:
    left = variant(either, "avoidance", "left")
    with either.writing() as session:
        before = [each for _, variants in parts_of_test(session) for each in variants]
        session.get_one(VariantRow, left).retired = True
    with either.reading() as session:
        after = [each for _, variants in parts_of_test(session) for each in variants]
    assert [each for each in before if each != left] == after


@pytest.mark.parametrize("ridden", [0, 3])
def test_a_school_without_rides_has_no_faults(either: Database, who: Cast, ridden: int) -> None:
    slalom = variant(either, "slalom")
    record(either, who, *(a_ride(who, slalom, who.session, n) for n in range(ridden)))
    with either.reading() as session:
        assert school_faults(session) == ({slalom: FaultCounts()} if ridden else {})
