"""The database refuses by itself: every statement here goes round the app."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import insert, update
from sqlalchemy.exc import IntegrityError

from app.rules.diary.values import BookingState, SessionKind
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import add_bikes, add_students

BEGINS = START + timedelta(days=3)
HOUR = timedelta(hours=1)


def add_session(db: Database, people: Cast, hours: float = 0, **facts: Any) -> int:
    """A session of Ines that begins some hours after a moment of its own and takes two."""
    usual = {
        "yard_id": people.yard,
        "instructor_id": people.instructor,
        "kind": SessionKind.MODULE_1,
        "starts_at": BEGINS + hours * HOUR,
        "ends_at": BEGINS + (hours + 2) * HOUR,
        "places": 4,
    }
    with db.writing() as session:
        return session.scalars(insert(SessionRow).returning(SessionRow.id), [usual | facts]).one()


def add_booking(db: Database, session_id: int, student_id: int, **facts: Any) -> int:
    """A booking without a bike, unless the facts say otherwise."""
    usual = {
        "session_id": session_id,
        "student_id": student_id,
        "state": BookingState.BOOKED,
        "booked_at": START,
    }
    with db.writing() as session:
        return session.scalars(insert(BookingRow).returning(BookingRow.id), [usual | facts]).one()


def change(db: Database, row: type[SessionRow | BookingRow], row_id: int, **facts: Any) -> None:
    with db.writing() as session:
        session.execute(update(row).where(row.id == row_id).values(**facts))


REFUSED = pytest.raises(IntegrityError)


@pytest.mark.parametrize("hours", [-1.9, -1, 0, 0.5, 1.9])
def test_an_instructor_is_in_one_session_at_a_time(
    either: Database, people: Cast, hours: float
) -> None:
    add_session(either, people)
    with REFUSED:
        add_session(either, people, hours, yard_id=people.small_yard)


@pytest.mark.parametrize("hours", [-2, 2])
def test_one_session_may_begin_as_the_other_ends(
    either: Database, people: Cast, hours: float
) -> None:
    add_session(either, people)
    add_session(either, people, hours)


def test_a_cancelled_session_is_in_nobodys_way(either: Database, people: Cast) -> None:
    first = add_session(either, people, cancelled_at=START)
    add_session(either, people)
    with REFUSED:
        change(either, SessionRow, first, cancelled_at=None)


def test_a_session_is_not_changed_onto_another(either: Database, people: Cast) -> None:
    add_session(either, people)
    later = add_session(either, people, 4)
    other = add_session(either, people, instructor_id=people.other_instructor)
    with REFUSED:
        change(either, SessionRow, later, starts_at=BEGINS + HOUR)
    with REFUSED:
        change(either, SessionRow, other, instructor_id=people.instructor)


@pytest.mark.parametrize("who", ["student_id", "bike_id"])
@pytest.mark.parametrize("state", [BookingState.HELD, BookingState.BOOKED, BookingState.ATTENDED])
def test_a_student_and_a_bike_are_in_one_place_at_a_time(
    either: Database, people: Cast, who: str, state: BookingState
) -> None:
    one = add_session(either, people)
    beside = add_session(either, people, 1, instructor_id=people.other_instructor)
    lena, stan = add_students(either, 2)
    (bike,) = add_bikes(either, 1)
    until = {"held_until": BEGINS} if state is BookingState.HELD else {}
    add_booking(either, one, lena, bike_id=bike, state=state, **until)
    facts: dict[str, Any] = {"student_id": lena} if who == "student_id" else {"bike_id": bike}
    for training in (one, beside):
        with REFUSED:
            add_booking(either, training, **({"student_id": stan} | facts))


def test_those_without_a_bike_of_ours_do_not_clash(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    for student in add_students(either, 2):
        add_booking(either, training, student, bike_id=None)


@pytest.mark.parametrize(
    "gone", [{"state": BookingState.NO_SHOW}, {"state": "cancelled", "cancelled_at": START}]
)
def test_what_was_given_up_may_be_booked_again(
    either: Database, people: Cast, gone: dict[str, Any]
) -> None:
    training = add_session(either, people)
    (lena,) = add_students(either, 1)
    first = add_booking(either, training, lena)
    change(either, BookingRow, first, **gone)
    add_booking(either, training, lena)
    with REFUSED:
        change(either, BookingRow, first, state=BookingState.BOOKED, cancelled_at=None)


def test_a_session_that_moves_takes_its_bookings_times_along_or_stays(
    either: Database, people: Cast
) -> None:
    moved = add_session(either, people)
    beside = add_session(either, people, 4, instructor_id=people.other_instructor)
    lena, stan = add_students(either, 2)
    add_booking(either, moved, lena)
    add_booking(either, beside, lena)
    others = add_booking(either, moved, stan)
    change(either, SessionRow, moved, starts_at=BEGINS + HOUR, ends_at=BEGINS + 3 * HOUR)
    with either.reading() as session:
        booking = session.get_one(BookingRow, others)
        assert (booking.starts_at, booking.ends_at) == (BEGINS + HOUR, BEGINS + 3 * HOUR)
    with REFUSED:
        change(either, SessionRow, moved, starts_at=BEGINS + 5 * HOUR, ends_at=BEGINS + 7 * HOUR)


def test_a_booking_cannot_say_another_time_than_its_session(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    (lena,) = add_students(either, 1)
    with REFUSED:
        add_booking(either, training, lena, starts_at=BEGINS + HOUR, ends_at=BEGINS + 2 * HOUR)


def test_no_more_are_in_a_session_than_it_has_places(either: Database, people: Cast) -> None:
    small = add_session(either, people, places=2)
    other = add_session(either, people, 4)
    one, two, three = add_students(either, 3)
    add_booking(either, small, one)
    held = add_booking(either, small, two, state=BookingState.HELD, held_until=BEGINS)
    with REFUSED:
        add_booking(either, small, three)
    elsewhere = add_booking(either, other, three)
    times = {"starts_at": BEGINS, "ends_at": BEGINS + 2 * HOUR}
    with REFUSED:
        change(either, BookingRow, elsewhere, session_id=small, **times)
    with REFUSED:
        change(either, SessionRow, small, places=1)
    gone = {"state": BookingState.CANCELLED, "cancelled_at": START, "held_until": None}
    change(either, BookingRow, held, **gone)
    change(either, BookingRow, elsewhere, session_id=small, **times)


def test_on_the_road_are_at_most_two(either: Database, people: Cast) -> None:
    """Official: DVSA manual for training bodies, two trainees on the road to one instructor."""
    road = add_session(either, people, kind=SessionKind.ROAD, places=2)
    with REFUSED:
        change(either, SessionRow, road, places=3)


def test_a_held_place_has_an_end(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    (lena,) = add_students(either, 1)
    with REFUSED:
        add_booking(either, training, lena, state=BookingState.HELD)
    with REFUSED:
        add_booking(either, training, lena, held_until=BEGINS)
