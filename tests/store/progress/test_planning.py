"""What a plan is drawn up from."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.rules.diary.values import Surface
from app.rules.progress.target import Standing
from app.rules.refusal import Missing
from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.progress.outlook import outlook
from app.store.progress.planning import Bench, session_bench, student_bench
from app.store.progress.reads import student_progress
from app.store.yards.tables import YardRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.riding import ride_often

SETTINGS = SchoolSettings()


def for_session(database: Database, session_id: int) -> Bench:
    """What a session's plan is drawn up from."""
    with database.reading() as session:
        return session_bench(session, session_id, START, SETTINGS)


def for_lena(database: Database, who: Cast, minutes: float = 60.0) -> Bench:
    """What a plan for Lena is drawn up from."""
    with database.reading() as session:
        return student_bench(session, who.learner, minutes, START, SETTINGS)


def test_a_session_has_its_riders_its_yard_and_its_length(either: Database, who: Cast) -> None:
    bench = for_session(either, who.session)
    assert (bench.yard, bench.ground.minutes) == ("Long yard", 180.0)
    assert bench.riders == {who.learner: "Lena Wren"}
    assert len(bench.ground.options) == 10
    assert set(bench.variants) == {option.variant_id for option in bench.ground.options}


def test_what_the_yard_rules_out_cannot_be_planned(either: Database, who: Cast) -> None:
    codes = {option.code for option in for_session(either, who.other_session).ground.options}
    assert codes == {"only", "right"}
    with either.writing() as session:
        session.get_one(YardRow, who.small_yard).speed_run = False
    options = for_session(either, who.other_session).ground.options
    assert not any(option.speed_run for option in options)


@pytest.mark.parametrize("surface", [None, *Surface])
def test_a_wet_surface_is_read_for_the_session_and_its_riders(
    either: Database, who: Cast, surface: Surface | None
) -> None:
    with either.writing() as session:
        session.get_one(SessionRow, who.session).surface = surface
    is_wet = surface is Surface.WET
    assert for_session(either, who.session).ground.wet is is_wet
    assert for_lena(either, who).ground.wet is is_wet
    assert for_session(either, who.other_session).ground.wet is False


def test_a_student_is_planned_for_where_they_ride_next(either: Database, who: Cast) -> None:
    assert for_lena(either, who, 90.0).ground.minutes == 90.0
    with either.writing() as session:
        session.get_one(SessionRow, who.session).yard_id = who.small_yard
    assert for_lena(either, who).yard == "Short yard"
    with either.writing() as session:
        session.delete(session.get_one(BookingRow, who.booking))
    assert for_lena(either, who).yard == "Long yard"


def test_riders_stand_where_their_own_pages_say(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=3, rides=4)
    (lena,) = for_lena(either, who).trainees
    found = {way.variant_id: way.standing for part in lena.parts for way in part.ways}
    with either.reading() as session:
        progress = student_progress(session, who.learner, START, SETTINGS)
    said = {v.id: v.assessment.standing for m in progress.manoeuvres for v in m.variants}
    assert found == said
    assert set(found.values()) > {Standing.NOT_RIDDEN}


def test_the_serious_shares_are_those_of_the_readiness(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=3, rides=4)
    with either.reading() as session:
        found = outlook(session, who.learner, START)
    (lena,) = for_lena(either, who).trainees
    assert found is not None
    assert lena.results.rests_on == found.results
    assert all(way.belief.split.serious < 0.25 for way in lena.parts[2].ways)


def test_a_session_cancelled_or_unknown_has_no_plan(either: Database, who: Cast) -> None:
    with either.writing() as session:
        session.get_one(SessionRow, who.session).cancelled_at = START
    for session_id in (who.session, 99):
        with pytest.raises(Missing):
            for_session(either, session_id)


def test_an_unknown_student_and_a_school_without_a_yard_have_none(
    either: Database, who: Cast
) -> None:
    with either.reading() as session, pytest.raises(Missing):
        student_bench(session, 99, 60.0, START, SETTINGS)
    with either.writing() as session:
        for row in (who.yard, who.small_yard):
            session.get_one(YardRow, row).open = False
    later = START + timedelta(days=1)
    with either.reading() as session, pytest.raises(Missing):
        student_bench(session, who.learner, 60.0, later, SETTINGS)


def test_its_queries_do_not_grow(either: Database, who: Cast) -> None:
    numbers = []
    for _ in range(2):
        with counted(either) as seen:
            for_session(either, who.session)
        numbers.append(len(seen))
        ride_often(either, who, sessions=3, rides=4)
        with either.writing() as session:
            session.get_one(BookingRow, who.other_booking).session_id = who.session
    assert numbers[0] == numbers[1] <= 18
