"""A student's readiness, and the real results that it is held against."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import select

from app.rules.diary.values import TestModule, TestResult
from app.rules.progress.prospects import rough_chance
from app.store.database import Database
from app.store.diary.tables import TestAppointmentRow
from app.store.progress.outlook import Outlook, outlook
from app.store.progress.results import recalibration, school_now
from app.store.progress.states import load_states
from app.store.progress.tables import GivenChanceRow
from app.store.progress.writes import rebuild, settle_results
from app.store.riding.tables import VariantRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.riding import CONE, a_ride, past_session, record, ride_often, variant


def look(database: Database, who: Cast, *, moved: bool = False) -> Outlook:
    """Lena's readiness."""
    with database.reading() as session:
        found = outlook(session, who.learner, START, moved=moved)
    assert found is not None
    return found


def real_test(database: Database, who: Cast, days: int, result: TestResult | None) -> int:
    """A module 1 test of Lena's some days ago."""
    with database.writing() as session:
        row = TestAppointmentRow(
            student_id=who.learner,
            module=TestModule.MODULE_1,
            centre="Port Ellery",
            starts_at=START - timedelta(days=days),
            result=result,
        )
        session.add(row)
        session.flush()
        return row.id


def test_what_costs_most_comes_first_and_what_is_new_is_counted(
    either: Database, who: Cast
) -> None:
    ride_often(either, who, sessions=2, rides=4)
    found = look(either, who)
    assert 0.0 < found.ready.low < found.ready.chance < found.ready.high < 1.0
    assert found.untried == 9 - 4
    rises = [gain.rise for gain in found.ready.gains]
    assert rises == sorted(rises, reverse=True)
    assert len(found.costs) == 3
    assert found.rests_on == "not yet checked against real results"


def test_faults_that_were_grave_cost_more(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    before = look(either, who).ready.chance
    record(either, who, *(a_ride(who, slalom, who.session, n, faults=(CONE,)) for n in range(4)))
    assert look(either, who).ready.chance < before


def test_it_moves_from_session_to_session(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=3, rides=3)
    stops = look(either, who, moved=True).stops
    assert [stop.rides for stop in stops] == [12, 12, 12]
    assert [stop.at for stop in stops] == sorted(stop.at for stop in stops)
    assert look(either, who).stops == ()


def test_a_school_without_a_syllabus_says_nothing(either: Database, who: Cast) -> None:
    with either.writing() as session:
        for row in session.scalars(select(VariantRow)):
            row.retired = True
    with either.reading() as session:
        assert outlook(session, who.learner, START) is None


def test_a_real_result_is_held_against_the_chance_before_it(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    training = past_session(either, who, 9)
    record(either, who, a_ride(who, slalom, training, days=9))
    with either.reading() as session:
        fixed = school_now(session)
        state = load_states(session, [who.learner], fixed.parameters)[who.learner]
        rough = rough_chance(state, fixed.parts, fixed.parameters, {})
    test = real_test(either, who, 3, TestResult.PASS)
    record(either, who, a_ride(who, slalom, who.session, faults=(CONE,)))
    assert settle_results(either) == 1
    with either.reading() as session:
        row = session.get_one(GivenChanceRow, test)
        assert row.passed
        assert 0.7 * rough < row.chance < rough
        assert recalibration(session).rests_on == 1
        assert recalibration(session).shift > 0
    assert look(either, who).rests_on == "checked against 1 real result"


@pytest.mark.parametrize("result", [None, TestResult.FAIL])
def test_a_test_without_a_result_or_without_a_ride_before_it_says_nothing(
    either: Database, who: Cast, result: TestResult | None
) -> None:
    slalom = variant(either, "slalom")
    if result is None:
        record(either, who, a_ride(who, slalom, past_session(either, who, 9), days=9))
    real_test(either, who, 3, result)
    assert settle_results(either) == 0


def test_results_are_settled_once_and_a_rebuild_gives_the_same(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=4, rides=3)
    real_test(either, who, 1, TestResult.FAIL)
    assert (settle_results(either), settle_results(either)) == (1, 0)
    before = given(either)
    rebuild(either)
    assert given(either) == pytest.approx(before)


def given(database: Database) -> list[float]:
    """The chances kept before real tests."""
    with database.reading() as session:
        return list(session.scalars(select(GivenChanceRow.chance)))


def test_its_queries_do_not_grow(either: Database, who: Cast) -> None:
    numbers = []
    for _ in range(2):
        with counted(either) as seen:
            look(either, who, moved=True)
        numbers.append(len(seen))
        ride_often(either, who, sessions=4, rides=4)
    assert numbers[0] == numbers[1] <= 9
