"""What the screens are given: strips, reasons, the rides behind them, the history."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import update

from app.rules.refusal import Missing
from app.rules.riding.values import Cone
from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.progress.picture import VariantProgress
from app.store.progress.reads import StudentProgress, student_progress
from app.store.progress.ride_reads import Rides, rides_of
from app.store.progress.session_reads import history
from app.store.progress.writes import strike_out
from app.store.riding.tables import VariantRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.riding import (
    CONE,
    LOOKED_DOWN,
    STALL,
    a_ride,
    ines,
    past_session,
    record,
    ride_often,
    timed,
    variant,
)

SCHOOL = SchoolSettings()


def progress(database: Database, student: int) -> StudentProgress:
    """A student's progress now."""
    with database.reading() as session:
        return student_progress(session, student, START, SCHOOL)


def of(found: StudentProgress, variant_id: int) -> VariantProgress:
    """One variant of it."""
    return next(v for m in found.manoeuvres for v in m.variants if v.id == variant_id)


def rides(database: Database, who: Cast, variant_id: int, page: int = 1) -> Rides:
    """The learner's rides of a variant now."""
    with database.reading() as session:
        return rides_of(session, who.learner, variant_id, START, SCHOOL, page)


def test_a_strip_shows_the_last_twelve_rides_oldest_first(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    faults = [(), (CONE,), (STALL,)] + [()] * 10
    record(
        either, who, *(a_ride(who, slalom, who.session, n, faults=f) for n, f in enumerate(faults))
    )
    cones = of(progress(either, who.learner), slalom).cones
    assert len(cones) == 12
    assert [ride.cone for ride in cones[:3]] == [Cone.FALLEN, Cone.LEANING, Cone.STANDING]
    assert cones[0].words == "Thu 26 Nov 2026, fallen: cone touched on the left, serious"


def test_a_reason_speaks_of_the_last_five_that_count(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    faults = [(CONE,), (), (CONE, LOOKED_DOWN), (), ()]
    kept = [a_ride(who, slalom, who.session, n, faults=f) for n, f in enumerate(faults)]
    gone = [a_ride(who, slalom, who.session, 10 + n, faults=(STALL,)) for n in range(12)]
    record(either, who, *kept, *gone)
    for ride in gone:
        strike_out(either, ines(who), ride.attempt_id, "The wrong rider", START)
    found = of(progress(either, who.learner), slalom)
    assert found.for_instructor.startswith(
        "3 of the last 5 clean; cone touched twice, both to the left; "
    )
    assert {ride.cone for ride in found.cones} == {Cone.OUTLINE}
    assert len(found.cones) == 12


def test_three_different_manoeuvres_are_picked_each_with_its_teaching(
    either: Database, who: Cast
) -> None:
    record(either, who, a_ride(who, variant(either, "u_turn"), who.session, faults=(STALL,)))
    picked = progress(either, who.learner).to_practise
    assert picked[0].variant.name == "U-turn"
    assert len({one.manoeuvre.about.code for one in picked}) == 3
    for one in picked:
        assert one.coaching_point in one.manoeuvre.about.coaching_points
        assert one.manoeuvre.about.clean_looks_like


def test_a_manoeuvre_is_as_steady_as_its_weakest_variant(either: Database, who: Cast) -> None:
    left = variant(either, "avoidance", "left")
    record(either, who, a_ride(who, left, who.session, **timed(52.0)))
    found = progress(either, who.learner).manoeuvres[-1]
    assert [one.standing for one in found.variants] != ["not yet ridden"] * 2
    assert found.weakest.id == variant(either, "avoidance", "right")
    assert found.standing == "not yet ridden"


def test_the_sums_and_what_comes_next(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=2, rides=3)
    found = progress(either, who.learner)
    assert (found.totals.rides, found.totals.sessions, found.totals.manoeuvres) == (24, 2, 9)
    assert found.next_session is not None
    assert (found.next_session.yard, found.next_session.bike) == ("Long yard", "Bike 1")
    assert found.next_session.starts_at == START - timedelta(hours=1)
    assert found.next_test is None


def test_the_rides_of_a_stranger_are_not_mixed_in(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=1, rides=2)
    found = progress(either, who.stranger)
    assert found.totals.rides == 0
    assert all(not one.cones for each in found.manoeuvres for one in each.variants)


def test_every_ride_behind_a_flag_is_told_in_full(either: Database, who: Cast) -> None:
    stop = variant(either, "emergency_stop")
    earlier = past_session(either, who, days=2)
    old = a_ride(who, stop, earlier, days=2, **timed(45.0), faults=(STALL,))
    slow = a_ride(who, stop, who.session, 5, **timed(48.5), second_try=True)
    record(either, who, old, slow)
    strike_out(either, ines(who), slow.attempt_id, "Timed from the wrong cone", START)
    found = rides(either, who, stop)
    assert [when.session_id for when in found.occasions] == [who.session, earlier]
    newest, oldest = found.occasions
    assert newest.rides[0].line.struck_reason == "Timed from the wrong cone"
    assert newest.rides[0].struck_by == "Ines Heron"
    assert newest.rides[0].line.cone is Cone.OUTLINE
    assert newest.conditions == ""
    assert (oldest.yard, oldest.conditions) == ("Long yard", "damp, windy")
    assert (oldest.bike, oldest.recorded_by) == ("Bike 1", "Ines Heron")
    assert oldest.rides[0].line.judged == ("too slow, to be ridden again", "stall, riding")
    assert oldest.rides[0].line.speed_kmh == 45.0
    assert "too slow once" in found.variant.for_instructor


def test_long_lists_of_rides_are_paged_by_fifty(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    record(either, who, *(a_ride(who, slalom, who.session, minute) for minute in range(53)))
    first, second = rides(either, who, slalom), rides(either, who, slalom, page=99)
    assert (first.leaf.pages, first.leaf.total, second.leaf.page) == (2, 53, 2)
    assert [len(when.rides) for when in first.occasions] == [50]
    assert second.occasions[0].rides[-1].line.ridden_at == START


def test_a_variant_no_longer_taught_is_still_named(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    record(either, who, a_ride(who, slalom, who.session))
    with either.writing() as session:
        session.execute(update(VariantRow).where(VariantRow.id == slalom).values(retired=True))
    found = progress(either, who.learner)
    assert [one.name for one in found.retired] == ["Slalom"]
    assert "Slalom" not in [one.name for one in found.manoeuvres]
    assert rides(either, who, slalom).retired
    with either.reading() as session:
        assert history(session, who.learner, SCHOOL).sessions[0].strips[0].name == "Slalom"


def test_the_history_is_by_session_newest_first(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=7, rides=4)
    with either.reading() as session:
        first, second = (history(session, who.learner, SCHOOL, page) for page in (1, 2))
    days = [(START - one.starts_at).days for one in (*first.sessions, *second.sessions)]
    assert days == [1, 2, 3, 4, 5, 6, 7]
    newest = first.sessions[0]
    assert (newest.yard, newest.instructor) == ("Long yard", "Ines Heron")
    assert (newest.rides, newest.clean) == (16, 8)
    assert [strip.name for strip in newest.strips] == [
        "Slalom",
        "Figure of 8",
        "Slow ride",
        "U-turn",
    ]
    assert [ride.cone for ride in newest.strips[0].cones[:2]] == [Cone.LEANING, Cone.STANDING]


def test_who_and_what_is_not_there_is_missing(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    with either.reading() as session:
        with pytest.raises(Missing):
            student_progress(session, 999, START, SCHOOL)
        for student, one in ((999, slalom), (who.learner, 999)):
            with pytest.raises(Missing):
                rides_of(session, student, one, START, SCHOOL)


def test_the_number_of_queries_does_not_grow_with_the_rides(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    asked = []
    for _ in range(2):
        with counted(either) as seen:
            progress(either, who.learner)
            rides(either, who, slalom)
            with either.reading() as session:
                history(session, who.learner, SCHOOL)
        asked.append(len(seen))
        ride_often(either, who, sessions=6, rides=9)
    assert asked[0] == asked[1] <= 42
