"""A place is held, confirmed, moved and let go; a course is booked whole or not at all."""

from __future__ import annotations

from datetime import date, time, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select

from app.rules.categories import Category
from app.rules.diary.values import BookingState, GivenUpFor
from app.rules.refusal import Refused
from app.store.database import Database
from app.store.diary import booking_writes, courses, moving
from app.store.diary.card_reads import free_bikes, soonest
from app.store.diary.courses import WantedCourse
from app.store.diary.moving import Target
from app.store.diary.reads import session_page
from app.store.diary.tables import BookingRow
from app.store.yards.tables import ClosureRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, TOMORROW, add_session, book, booking
from tests.support.life import (
    HOUR,
    audited,
    hold,
    letters,
    set_school,
    with_mail,
)


@pytest.fixture
def mail(either: Database, people: Cast) -> Cast:
    """The cast, with addresses at which mail reaches the students."""
    return with_mail(either, people)


def test_a_held_place_is_taken_until_its_time_is_over(either: Database, people: Cast) -> None:
    training = add_session(either, people, places=1)
    made = hold(either, training, people.learner, people.bike)
    with pytest.raises(Refused, match="full"):
        book(either, training, people.stranger, None)
    late = START + 4 * HOUR
    book(either, training, people.stranger, people.bike, late)
    gone = booking(either, made)
    assert (gone.state, gone.given_up_for) == (BookingState.CANCELLED, GivenUpFor.HOLD_OVER)
    assert audited(either, "bookings", made) == ["held", "hold ended"]


def test_a_hold_never_lasts_beyond_the_start(either: Database, people: Cast) -> None:
    set_school(either, hold_minutes=10_000)
    training = add_session(either, people)
    made = booking(either, hold(either, training, people.learner))
    assert made.held_until == made.starts_at


def test_what_is_held_is_booked_in_time_and_not_after(either: Database, mail: Cast) -> None:
    training = add_session(either, mail)
    made = hold(either, training, mail.learner)
    assert letters(either) == []
    booking_writes.confirm(either, DESK, made, 1, START + HOUR)
    assert booking(either, made).state is BookingState.BOOKED
    assert letters(either) == ["confirmation"]
    other = hold(either, training, mail.stranger)
    with pytest.raises(Refused, match="not held any more"):
        booking_writes.confirm(either, DESK, other, 1, START + 5 * HOUR)
    with pytest.raises(Refused, match="booked already"):
        booking_writes.confirm(either, DESK, made, 2, START + HOUR)


def test_what_is_held_is_not_booked_on_a_day_that_was_closed_since(
    either: Database, people: Cast
) -> None:
    training = add_session(either, people)
    made = hold(either, training, people.learner)
    with either.writing() as session:
        session.add(ClosureRow(first_day=TOMORROW, last_day=TOMORROW, reason="Ice", noted_at=START))
    with pytest.raises(Refused, match="Ice"):
        booking_writes.confirm(either, DESK, made, 1, START + HOUR)
    assert booking(either, made).state is BookingState.HELD


def test_a_bike_that_is_held_is_proposed_to_nobody_until_the_hold_is_over(
    either: Database, people: Cast
) -> None:
    training = add_session(either, people)
    hold(either, training, people.learner, people.bike)
    with either.reading() as session:
        line = session_page(session, training).line
        for hours, free in ((1, False), (5, True)):
            bikes = free_bikes(session, line, Category.A, START + hours * HOUR)
            assert (people.bike in [bike.id for bike in bikes]) is free
            mine = soonest(session, people.learner, START + hours * HOUR)
            assert (training in [one.id for one in mine]) is free


def test_letting_go_of_a_held_place_is_never_late(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    made = hold(either, training, people.learner)
    gone = booking_writes.cancel_booking(either, DESK, made, 1, START)
    assert not gone.late
    assert audited(either, "bookings", made) == ["held", "let go"]


@pytest.mark.parametrize("reason", [GivenUpFor.SCHOOL, GivenUpFor.WEATHER])
def test_only_the_students_own_wish_is_late(
    either: Database, people: Cast, reason: GivenUpFor
) -> None:
    training = add_session(either, people)
    one = book(either, training, people.learner, None)
    two = book(either, training, people.stranger, None)
    assert not booking_writes.cancel_booking(either, DESK, one, 1, START, reason).late
    assert booking_writes.cancel_booking(either, DESK, two, 1, START).late
    assert booking(either, one).given_up_for is reason


def test_a_booking_moves_and_stays_the_same_booking(either: Database, mail: Cast) -> None:
    first = add_session(either, mail)
    second = add_session(either, mail, starts=time(13), ends=time(15), day=date(2026, 12, 4))
    made = book(either, first, mail.learner, mail.bike)
    moved = moving.move(either, DESK, made, 1, Target(second, mail.other_bike), START)
    row = booking(either, made)
    assert (row.session_id, row.bike_id, row.version) == (second, mail.other_bike, 2)
    assert moved.late, "the first is tomorrow, which is less notice than the owner asks"
    assert audited(either, "bookings", made) == ["booked", "moved"]
    assert letters(either)[-1] in ("change", "confirmation")
    book(either, first, mail.stranger, mail.bike)


def test_a_move_is_refused_for_what_a_booking_is_refused_for(
    either: Database, people: Cast
) -> None:
    first = add_session(either, people)
    full = add_session(either, people, starts=time(13), ends=time(15), places=1)
    other = book(either, full, people.stranger, people.bike)
    made = book(either, first, people.learner, people.bike)
    with pytest.raises(Refused) as no:
        moving.move(either, DESK, made, 1, Target(full, people.bike), START)
    said = [reason.sentence for reason in no.value.reasons]
    assert any("full" in one for one in said)
    assert any("taken by Stan Crake" in one for one in said)
    with pytest.raises(Refused, match="in already"):
        moving.move(either, DESK, made, 1, Target(first, None), START)
    with pytest.raises(Refused, match="changed this"):
        moving.move(either, DESK, made, 7, Target(full, None), START)
    assert booking(either, made).session_id == first
    booking_writes.cancel_booking(either, DESK, other, 1, START)
    with pytest.raises(Refused, match="was cancelled"):
        moving.move(either, DESK, other, 2, Target(first, None), START)


def test_into_a_session_beside_ones_own_one_may_move(either: Database, people: Cast) -> None:
    """The time that is left does not stand in the way of the time that is entered."""
    first = add_session(either, people)
    beside = add_session(
        either, people, yard_id=people.small_yard, instructor_id=people.other_instructor, places=2
    )
    made = book(either, first, people.learner, people.bike)
    moving.move(either, DESK, made, 1, Target(beside, people.bike), START)
    assert booking(either, made).session_id == beside


def test_a_course_is_booked_whole_or_not_at_all(either: Database, mail: Cast) -> None:
    days = [TOMORROW + timedelta(days=n) for n in (0, 2, 4)]
    trainings = [add_session(either, mail, day=day) for day in days]
    full = add_session(either, mail, day=TOMORROW + timedelta(days=6), places=1)
    book(either, full, mail.stranger, None)
    before = len(letters(either))
    with pytest.raises(Refused) as no:
        _course(either, mail, [*trainings, full])
    assert "Thu 3 Dec 2026" in no.value.reasons[0].sentence
    assert "full" in no.value.reasons[0].sentence
    with either.reading() as session:
        mine = select(BookingRow.session_id).where(BookingRow.student_id == mail.learner)
        assert not set(session.scalars(mine)) & set(trainings)
    course = _course(either, mail, trainings)
    with either.reading() as session:
        rows = session.scalars(select(BookingRow).where(BookingRow.course_id == course)).all()
    assert sorted(row.session_id for row in rows) == trainings
    assert letters(either)[before:] == ["confirmation"], "one message tells of all"


def _course(db: Database, who: Cast, trainings: list[int]) -> int:
    places = [Target(one, who.bike) for one in trainings]
    return courses.book_course(
        db, DESK, WantedCourse(who.learner, "Three mornings", places), uuid4(), START
    )


def test_a_course_with_one_session_twice_is_refused(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    with pytest.raises(Refused, match="already has a place"):
        _course(either, people, [training, training])
    with pytest.raises(Refused, match="from 1 to 12"):
        _course(either, people, [])
