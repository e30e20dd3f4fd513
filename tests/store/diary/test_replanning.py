"""Instructor ill, yard closed, bike broken: everything affected, planned anew in one go."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.rules.diary.replanning import Lost, Trouble
from app.rules.diary.values import BookingState, GivenUpFor, WaitingState
from app.rules.refusal import Missing, Refused
from app.store.database import Database
from app.store.diary.affected import Affected, affected
from app.store.diary.moving import Target
from app.store.diary.replanning import Decision, DropIt, Reseat, SwapIt, replan
from app.store.diary.tables import BookingRow, SessionRow, WaitingRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow, YardRow
from tests.support.cast import Cast
from tests.support.clock import LONDON, START
from tests.support.diary import (
    DESK,
    TOMORROW,
    add_bikes,
    add_session,
    add_students,
    book,
    booking,
)
from tests.support.life import waits
from tests.support.proposals import first_proposals
from tests.support.queries import counted


def read(db: Database, lost: Lost, number: int, last: date = TOMORROW) -> Affected:
    with db.reading() as session:
        return affected(session, Trouble(lost, number), (TOMORROW, last), START, LONDON)


def session_of(db: Database, number: int) -> SessionRow:
    with db.reading() as session:
        return session.get_one(SessionRow, number)


def test_a_colleague_who_is_free_takes_the_session_over(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    made = book(either, training, people.learner, people.bike)
    shown = read(either, Lost.INSTRUCTOR, people.instructor)
    (one,) = shown.sessions
    assert [swap.name for swap in one.swaps] == ["Ivor Plover"]
    replan(either, DESK, first_proposals(shown), START)
    assert session_of(either, training).instructor_id == people.other_instructor
    assert booking(either, made).state is BookingState.BOOKED


def test_no_swap_is_proposed_that_the_write_would_refuse(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    book(either, training, people.learner, people.bike)
    with either.writing() as session:
        rider = session.get_one(StudentRow, people.learner)
        rider.date_of_birth, rider.guardian_name = date(2010, 1, 1), None
    (one,) = read(either, Lost.INSTRUCTOR, people.instructor).sessions
    assert one.swaps == ()
    swap = SwapIt(training, one.version, people.other_instructor, people.yard)
    with pytest.raises(Refused, match="guardian"):
        replan(either, DESK, [swap], START)


def test_one_colleague_does_not_take_two_sessions_at_once(either: Database, people: Cast) -> None:
    """The proposals are made one after the other, so that all can be done together."""
    _same_time(either, people)
    shown = read(either, Lost.YARD, people.yard)
    assert len(shown.sessions) == 2
    told = replan(either, DESK, first_proposals(shown), START)
    assert (told.swapped, told.dropped) == (1, 1)


def _same_time(db: Database, people: Cast) -> None:
    """Two sessions of two riders each in the long yard; the short one has room for three."""
    add_session(db, people, places=2)
    add_session(db, people, places=2, instructor_id=people.other_instructor)


def test_riders_are_proposed_other_places_each_a_different_one(
    either: Database, people: Cast
) -> None:
    ill = add_session(either, people)
    add_session(
        either, people, instructor_id=people.other_instructor, yard_id=people.small_yard, places=3
    )
    target = add_session(either, people, day=date(2026, 12, 1), places=2)
    with either.writing() as session:
        session.execute(update(SessionRow).where(SessionRow.id == target).values(
            instructor_id=people.other_instructor))  # fmt: skip
    riders = add_students(either, 3)
    bikes = add_bikes(either, 3)
    for rider, bike in zip(riders, bikes, strict=True):
        book(either, ill, rider, bike)
    _fill(either, people)
    shown = read(either, Lost.INSTRUCTOR, people.instructor)
    (one,) = [each for each in shown.sessions if each.id == ill]
    assert one.swaps == ()
    told = replan(either, DESK, first_proposals(shown), START)
    assert (told.moved, told.given_up, told.dropped) == (2, 1, 1)
    with either.reading() as session:
        inside = select(BookingRow.student_id).where(
            BookingRow.session_id == target, BookingRow.state == BookingState.BOOKED)  # fmt: skip
        assert len(set(session.scalars(inside))) == 2
        waiting = session.scalars(select(WaitingRow)).one()
    assert waiting.student_id == riders[2]
    assert waiting.state is WaitingState.WAITING
    assert session_of(either, ill).cancelled_at == START


def _fill(db: Database, people: Cast) -> None:
    """Take the places of the other session of tomorrow, so that nobody can go there."""
    with db.reading() as session:
        query = select(SessionRow.id, SessionRow.places).where(
            SessionRow.yard_id == people.small_yard, SessionRow.starts_at > START)  # fmt: skip
        rows = session.execute(query).all()
    for number, places in rows:
        for student in add_students(db, places, name="Someone Else"):
            book(db, number, student, None)


def test_a_broken_bike_is_changed_in_the_same_session_first(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    made = book(either, training, people.learner, people.bike)
    book(either, training, people.stranger, None)
    with either.writing() as session:
        session.execute(update(BikeRow).where(BikeRow.id == people.bike).values(
            off_road_since=START, off_road_reason="Clutch cable"))  # fmt: skip
    shown = read(either, Lost.BIKE, people.bike)
    (one,) = shown.sessions
    assert [rider.student for rider in one.riders] == ["Lena Wren"]
    assert one.riders[0].ways[0].session_id == training
    replan(either, DESK, first_proposals(shown), START)
    row = booking(either, made)
    assert (row.session_id, row.bike_id) == (training, people.other_bike)


def test_a_closed_yard_gives_way_to_another_that_has_room(either: Database, people: Cast) -> None:
    small = add_session(either, people, places=3)
    shown = read(either, Lost.YARD, people.yard)
    (one,) = shown.sessions
    assert [swap.name for swap in one.swaps] == ["Short yard"]
    replan(either, DESK, first_proposals(shown), START)
    assert session_of(either, small).yard_id == people.small_yard
    large = add_session(either, people, starts=time(13), ends=time(15), places=4)
    (one,) = [each for each in read(either, Lost.YARD, people.yard).sessions if each.id == large]
    assert one.swaps == (), "four riders do not fit there"


def test_it_is_all_done_or_nothing(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    other = add_session(either, people, starts=time(13), ends=time(15), places=1)
    made = book(either, training, people.learner, people.bike)
    book(either, other, people.stranger, None)
    decisions: list[Decision] = [
        Reseat(made, 1, Target(other, people.bike)), DropIt(training, 1),
    ]  # fmt: skip
    with pytest.raises(Refused) as no:
        replan(either, DESK, decisions, START)
    assert any("Lena Wren: This session is full" in reason.sentence for reason in no.value.reasons)
    assert booking(either, made).session_id == training
    assert session_of(either, training).cancelled_at is None


def test_what_changed_since_the_page_was_opened_stops_it(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    made = book(either, training, people.learner, people.bike)
    shown = read(either, Lost.INSTRUCTOR, people.instructor)
    with either.writing() as session:
        session.execute(update(SessionRow).values(version=SessionRow.version + 1))
    with pytest.raises(Refused, match="changed this"):
        replan(either, DESK, first_proposals(shown), START)
    assert booking(either, made).version == 1


def test_who_cannot_be_placed_is_cancelled_by_the_school_and_waits(
    either: Database, people: Cast
) -> None:
    training = add_session(either, people)
    made = book(either, training, people.learner, people.bike)
    replan(either, DESK, [Reseat(made, 1, None, waits=True), DropIt(training, 1)], START)
    row = booking(either, made)
    assert (row.state, row.given_up_for, row.late) == (
        BookingState.CANCELLED, GivenUpFor.SCHOOL, False,
    )  # fmt: skip
    with either.reading() as session:
        assert session.scalars(select(WaitingRow.student_id)).one() == people.learner


def test_who_waits_already_keeps_their_turn(either: Database, people: Cast) -> None:
    """Or nobody could be planned around who waits for another day as well."""
    training = add_session(either, people)
    made = book(either, training, people.learner, people.bike)
    weekday = frozenset({(TOMORROW.weekday() + 2) % 7})
    waiting = waits(either, people.learner, weekdays=weekday)
    replan(either, DESK, [Reseat(made, 1, None, waits=True), DropIt(training, 1)], START)
    assert booking(either, made).state is BookingState.CANCELLED
    with either.reading() as session:
        assert session.scalars(select(WaitingRow.id)).one() == waiting


@pytest.mark.parametrize("lost", Lost)
def test_what_is_not_there_is_missing(either: Database, lost: Lost) -> None:
    with pytest.raises(Missing):
        read(either, lost, 999)


def test_the_number_of_queries_does_not_depend_on_how_much_is_affected(
    either: Database, people: Cast
) -> None:
    def asked(session: Session) -> Any:
        days = (TOMORROW, date(2026, 12, 20))
        return affected(session, Trouble(Lost.INSTRUCTOR, people.instructor), days, START, LONDON)

    few = _counted(either, asked)
    for day in range(1, 10):
        training = add_session(either, people, day=date(2026, 12, day))
        for student in add_students(either, 3):
            book(either, training, student, None)
    assert _counted(either, asked) == few


def _counted(db: Database, asked: Any) -> int:
    with db.reading() as session, counted(db) as queries:
        asked(session)
    return len(queries)


def test_a_session_that_has_begun_is_not_planned_anew(either: Database, people: Cast) -> None:
    with either.reading() as session:
        days = (START.date(), START.date())
        trouble = Trouble(Lost.INSTRUCTOR, people.instructor)
        assert affected(session, trouble, days, START, LONDON).sessions == ()


def test_a_yard_that_is_shut_for_good_is_nobodys_way_out(either: Database, people: Cast) -> None:
    with either.writing() as session:
        session.execute(update(YardRow).where(YardRow.id == people.small_yard).values(open=False))
    add_session(either, people, places=2)
    (one,) = read(either, Lost.YARD, people.yard).sessions
    assert one.swaps == ()
