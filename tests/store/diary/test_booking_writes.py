"""Bookings as they are kept: made, cancelled, marked, each with its audit."""

from __future__ import annotations

from datetime import time, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select

from app.rules.diary.values import BookingState
from app.rules.refusal import Missing, Refused
from app.store import settings
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary import booking_writes
from app.store.diary.booking_writes import WantedPlace
from app.store.diary.reads import session_page
from tests.support import cast
from tests.support.clock import START
from tests.support.diary import DESK, add_session, add_students, book, booking


def _audit(database: Database, number: int) -> list[tuple[str, dict[str, object]]]:
    with database.reading() as session:
        found = session.scalars(
            select(AuditEntryRow)
            .where(AuditEntryRow.subject == "bookings", AuditEntryRow.subject_id == str(number))
            .order_by(AuditEntryRow.id)
        )
        return [(row.action, row.details) for row in found]


def test_a_booking_is_kept_with_its_audit(either: Database, people: cast.Cast) -> None:
    training = add_session(either, people)
    made = book(either, training, people.learner, people.bike)
    kept = booking(either, made)
    assert (kept.session_id, kept.student_id, kept.bike_id) == (
        training,
        people.learner,
        people.bike,
    )
    details = {"in_session": training, "student": people.learner, "bike": people.bike}
    assert _audit(either, made) == [("booked", details)]


def test_a_form_sent_twice_books_once(either: Database, people: cast.Cast) -> None:
    place, key = WantedPlace(add_session(either, people), people.learner, None), uuid4()
    first = booking_writes.book(either, DESK, place, key, START)
    assert booking_writes.book(either, DESK, place, key, START) == first


def test_a_refused_booking_leaves_nothing(either: Database, people: cast.Cast) -> None:
    training = add_session(either, people, places=1)
    book(either, training, people.learner, people.bike)
    key = uuid4()
    place = WantedPlace(training, people.stranger, people.other_bike)
    with pytest.raises(Refused, match="This session is full"):
        booking_writes.book(either, DESK, place, key, START)
    booking_writes.cancel_booking(either, DESK, _only(either, training), 1, START)
    assert booking_writes.book(either, DESK, place, key, START)


def _only(database: Database, training: int) -> int:
    with database.reading() as session:
        return session_page(session, training).places[0].booking_id


@pytest.mark.parametrize(
    ("session_id", "student_id", "bike_id", "error"),
    [(999, 1, None, Missing), (1, 999, None, Missing), (1, 1, 999, Refused)],
)
def test_what_is_not_there_cannot_be_booked(
    either: Database,
    people: cast.Cast,
    session_id: int,
    student_id: int,
    bike_id: int | None,
    error: type[Exception],
) -> None:
    with pytest.raises(error):
        book(either, session_id, student_id, bike_id)


@pytest.mark.parametrize(("notice", "late"), [(23, False), (24, False), (25, True)])
def test_the_owner_says_from_when_on_cancelling_is_late(
    either: Database, people: cast.Cast, notice: int, late: bool
) -> None:
    made = book(either, add_session(either, people), people.learner, people.bike)
    with either.writing() as session:
        kept = settings.load(session)
        settings.save(session, type(kept)(notice_hours=notice))
    gone = booking_writes.cancel_booking(either, DESK, made, 1, START)
    row = booking(either, made)
    assert (gone.late, row.late, row.state) == (late, late, BookingState.CANCELLED)
    assert _audit(either, made)[-1] == ("cancelled", {"late": late, "given_up_for": "student"})


def test_a_place_given_up_can_be_had_by_another_and_by_the_same(
    either: Database, people: cast.Cast
) -> None:
    training = add_session(either, people, places=1)
    made = book(either, training, people.learner, people.bike)
    booking_writes.cancel_booking(either, DESK, made, 1, START)
    again = book(either, training, people.learner, people.bike)
    booking_writes.cancel_booking(either, DESK, again, 1, START)
    assert book(either, training, people.stranger, people.bike)


def test_a_stale_page_cancels_nothing(either: Database, people: cast.Cast) -> None:
    booking_writes.mark(either, DESK, people.booking, 1, BookingState.ATTENDED, START)
    with pytest.raises(Refused, match="Someone changed this"):
        booking_writes.cancel_booking(either, DESK, people.booking, 1, START)
    with pytest.raises(Missing):
        booking_writes.cancel_booking(either, DESK, 999, 1, START)


def test_someone_marked_as_missing_by_mistake_is_taken_back(
    either: Database, people: cast.Cast
) -> None:
    booking_writes.mark(either, DESK, people.booking, 1, BookingState.NO_SHOW, START)
    booking_writes.mark(either, DESK, people.booking, 2, BookingState.ATTENDED, START)
    assert booking(either, people.booking).state is BookingState.ATTENDED


def test_someone_marked_as_missing_is_not_taken_back_when_the_bike_has_gone(
    either: Database, people: cast.Cast
) -> None:
    booking_writes.mark(either, DESK, people.booking, 1, BookingState.NO_SHOW, START)
    (other,) = add_students(either, 1)
    book(either, people.session, other, people.bike)
    with pytest.raises(Refused, match="Bike 1 is taken by Rider 00000"):
        booking_writes.mark(either, DESK, people.booking, 2, BookingState.ATTENDED, START)
    assert booking(either, people.booking).state is BookingState.NO_SHOW


def test_a_booking_cannot_be_made_or_cancelled_once_the_session_is_over(
    either: Database, people: cast.Cast
) -> None:
    later = START + timedelta(hours=3)
    (other,) = add_students(either, 1)
    with pytest.raises(Refused, match="This session is over"):
        book(either, people.session, other, None, later)
    with pytest.raises(Refused, match="This session is over"):
        booking_writes.cancel_booking(either, DESK, people.booking, 1, later)


def test_the_same_student_may_ride_one_session_after_another(
    either: Database, people: cast.Cast
) -> None:
    first = add_session(either, people)
    second = add_session(either, people, starts=time(11), ends=time(13))
    assert book(either, first, people.learner, people.bike)
    assert book(either, second, people.learner, people.bike)
