"""Sessions as they are kept: made, moved with their riders, cancelled with their bookings."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import update

from app.rules.diary.values import BookingState
from app.rules.refusal import Missing, Refused
from app.store.database import Database
from app.store.diary import booking_writes, session_writes
from app.store.people.tables import InstructorRow
from app.store.yards.tables import YardRow
from tests.support import cast
from tests.support.clock import START
from tests.support.diary import DESK, add_session, add_students, book, booking, sessions_kept, wish


def test_school_time_is_kept_as_a_moment(either: Database, people: cast.Cast) -> None:
    add_session(either, people, day=date(2027, 7, 1))
    kept = sessions_kept(either)[-1]
    assert kept.starts_at == datetime(2027, 7, 1, 8, 0, tzinfo=UTC)
    assert kept.ends_at == datetime(2027, 7, 1, 10, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"day": date(2026, 11, 25)}, "day", "This day is over"),
        ({"day": date(1, 1, 1)}, "day", "This day is over"),
        ({"day": date(9999, 12, 31)}, "day", "more than two years ahead"),
        ({"ends": time(9)}, "ends", "has to end after it starts"),
        ({"starts": time(0), "ends": time(19)}, "ends", "at most 10 hours"),
        ({"day": date(2027, 3, 28), "starts": time(1, 30)}, "starts", "skips 01:30"),
        ({"day": date(2027, 3, 28), "ends": time(1, 30)}, "ends", "skips 01:30"),
        ({"places": 5}, "places", "at most 4 places"),
        ({"places": 10**30}, "places", "at most 4 places"),
        ({"yard_id": 999}, "yard_id", "Choose a yard"),
        ({"instructor_id": 999}, "instructor_id", "Choose an instructor"),
        ({"day": date(2026, 11, 26), "starts": time(10)}, "instructor_id", "already has"),
    ],
)
def test_what_cannot_stand_is_refused_and_leaves_nothing(
    either: Database, people: cast.Cast, changes: dict[str, Any], field: str, sentence: str
) -> None:
    with pytest.raises(Refused, match=sentence) as caught:
        add_session(either, people, **changes)
    assert field in [reason.field for reason in caught.value.reasons]
    assert len(sessions_kept(either)) == 2


def test_a_session_over_the_clock_change_is_as_long_as_it_lasts(
    either: Database, people: cast.Cast
) -> None:
    add_session(either, people, day=date(2027, 3, 28), starts=time(0, 50), ends=time(2, 10))
    kept = sessions_kept(either)[-1]
    assert kept.ends_at - kept.starts_at == timedelta(minutes=20)


def test_a_session_on_a_leap_day(either: Database, people: cast.Cast) -> None:
    now = datetime(2028, 2, 28, 12, tzinfo=UTC)
    leap = wish(people, day=date(2028, 2, 29))
    assert session_writes.add_session(either, DESK, leap, uuid4(), now)


@pytest.mark.parametrize("closed", ["yard", "instructor"])
def test_a_closed_yard_and_an_absent_instructor_get_no_sessions(
    either: Database, people: cast.Cast, closed: str
) -> None:
    with either.writing() as session:
        if closed == "yard":
            session.execute(update(YardRow).values(open=False))
        else:
            session.execute(update(InstructorRow).values(active=False))
    with pytest.raises(Refused, match=r"is closed|does not teach"):
        add_session(either, people)


def test_a_session_moves_and_takes_its_riders_along(either: Database, people: cast.Cast) -> None:
    training = add_session(either, people)
    book(either, training, people.learner, people.bike)
    later = wish(people, starts=time(9, 30), ends=time(12))
    assert session_writes.edit_session(either, DESK, training, 1, later, START) == training
    assert sessions_kept(either)[-1].starts_at.hour == 9
    assert sessions_kept(either)[-1].version == 2


@pytest.mark.parametrize("shared", ["student", "bike"])
def test_a_session_does_not_move_onto_another_of_its_rider_or_bike(
    either: Database, people: cast.Cast, shared: str
) -> None:
    training = add_session(either, people)
    elsewhere = add_session(
        either,
        people,
        yard_id=people.small_yard,
        instructor_id=people.other_instructor,
        starts=time(13),
        ends=time(15),
        places=3,
    )
    book(either, training, people.learner, people.bike)
    if shared == "student":
        book(either, elsewhere, people.learner, people.other_bike)
    else:
        book(either, elsewhere, people.stranger, people.bike)
    later = wish(people, starts=time(12), ends=time(14))
    with pytest.raises(Refused, match="is booked elsewhere on Fri 27 Nov 2026, 13:00 to 15:00"):
        session_writes.edit_session(either, DESK, training, 1, later, START)
    assert sessions_kept(either)[-2].version == 1


def test_a_session_keeps_the_places_that_are_taken(either: Database, people: cast.Cast) -> None:
    training = add_session(either, people)
    for rider in add_students(either, 3):
        book(either, training, rider, None)
    with pytest.raises(Refused, match="3 students are booked"):
        session_writes.edit_session(either, DESK, training, 1, wish(people, places=2), START)


def test_two_who_edit_one_session_do_not_overwrite_each_other(
    either: Database, people: cast.Cast
) -> None:
    training = add_session(either, people)
    session_writes.edit_session(either, DESK, training, 1, wish(people, places=3), START)
    with pytest.raises(Refused, match="Someone changed this since you opened it"):
        session_writes.edit_session(either, DESK, training, 1, wish(people, places=2), START)


def test_a_cancelled_session_frees_everyone_in_it(either: Database, people: cast.Cast) -> None:
    training = add_session(either, people)
    made = book(either, training, people.learner, people.bike)
    assert session_writes.cancel_session(either, DESK, training, 1, START) == 1
    kept = booking(either, made)
    assert (kept.state, kept.late) == (BookingState.CANCELLED, False)
    again = add_session(either, people)
    assert book(either, again, people.learner, people.bike)
    with pytest.raises(Refused, match="has been cancelled"):
        session_writes.cancel_session(either, DESK, training, 2, START)
    with pytest.raises(Refused, match="has been cancelled"):
        session_writes.edit_session(either, DESK, training, 2, wish(people), START)


def test_a_session_with_someone_in_the_yard_is_not_cancelled(
    either: Database, people: cast.Cast
) -> None:
    booking_writes.mark(either, DESK, people.booking, 1, BookingState.ATTENDED, START)
    with pytest.raises(Refused, match="marked as here"):
        session_writes.cancel_session(either, DESK, people.session, 1, START)


def test_a_session_of_an_earlier_day_stays_as_it_was(either: Database, people: cast.Cast) -> None:
    tomorrow = START + timedelta(days=1)
    with pytest.raises(Refused, match="This session is over"):
        session_writes.cancel_session(either, DESK, people.session, 1, tomorrow)
    with pytest.raises(Missing):
        session_writes.cancel_session(either, DESK, 999, 1, START)
