"""Letters about places that became free, and about courses."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.rules.diary.values import BookingState, GivenUpFor
from app.store.database import Database, Lock
from app.store.diary import letters
from app.store.diary.tables import BookingRow, CourseRow
from app.store.post_office import Round
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.letters import (
    booked,
    coming,
    deliver,
    give_up,
    hold,
    kinds,
    outbox,
    owed,
    write_to,
)

LATER = START + timedelta(minutes=10)


@pytest.fixture(autouse=True)
def email(either: Database, people: Cast) -> None:
    """Lena has an email on file, Stan has none."""
    write_to(either, people.learner)


def test_an_offer_is_sent_while_the_place_is_held(either: Database, people: Cast) -> None:
    hold(either, people, START + timedelta(hours=4))
    [row] = owed(either)
    assert row.subject == "A free place, held until Thu 26 Nov 2026, 13:00"
    assert deliver(either) == Round(sent=1)


def test_an_offer_that_could_not_be_sent_in_time_is_dropped(either: Database, people: Cast) -> None:
    hold(either, people, START + timedelta(hours=4))
    assert deliver(either, START + timedelta(hours=4)) == Round(dropped=1)
    assert "no longer held" in (outbox(either)[0].last_error or "")


def test_taking_an_offer_drops_it_and_confirms(either: Database, people: Cast) -> None:
    made = hold(either, people, START + timedelta(hours=4))
    with either.writing(Lock.DIARY) as session:
        row = session.get_one(BookingRow, made)
        row.state, row.held_until = BookingState.BOOKED, None
        letters.booked(session, made, LATER)
    assert kinds(either) == ["confirmation"]
    assert outbox(either)[0].last_error == "The place was booked before this was sent."


def test_a_place_that_was_only_held_says_no_change(either: Database, people: Cast) -> None:
    made = coming(either, people, START + timedelta(days=3), BookingState.HELD)
    with either.writing(Lock.DIARY) as session:
        before = letters.appointment_of(session, made)
        session.get_one(BookingRow, made).bike_id = people.bike
        session.flush()
        letters.changed(session, made, before, START)
    assert outbox(either) == []


def test_an_offered_place_that_changes_is_offered_as_it_is_now(
    either: Database, people: Cast
) -> None:
    made = hold(either, people, START + timedelta(hours=4))
    with either.writing(Lock.DIARY) as session:
        before = letters.appointment_of(session, made)
        session.get_one(BookingRow, made).bike_id = people.bike
        session.flush()
        letters.changed(session, made, before, START)
    [row] = owed(either)
    assert (row.kind, "Bike: Bike 1" in row.body) == ("offer", True)


def enrol(school: Database, people: Cast) -> tuple[int, list[int]]:
    """Lena in a course of three mornings; the ids of the course and its bookings."""
    made = [coming(school, people, START + timedelta(days=days)) for days in (4, 2, 3)]
    with school.writing(Lock.DIARY) as session:
        course = CourseRow(student_id=people.learner, name="Three mornings", booked_at=START)
        session.add(course)
        session.flush()
        for booking_id in made:
            session.get_one(BookingRow, booking_id).course_id = course.id
        session.flush()
        letters.course_booked(session, course.id, START)
        return course.id, made


def test_a_course_is_told_once_in_order_of_time(either: Database, people: Cast) -> None:
    enrol(either, people)
    [row] = owed(either)
    assert row.subject == "Booked: Three mornings, 3 sessions from Sat 28 Nov 2026"
    days = [row.body.index(day) for day in ("Sat 28 Nov", "Sun 29 Nov", "Mon 30 Nov")]
    assert days[1:] == sorted(days[1:])
    assert row.booking_id is None
    assert deliver(either) == Round(sent=1)


def test_a_course_that_was_not_told_yet_is_told_as_it_is_now(
    either: Database, people: Cast
) -> None:
    _, made = enrol(either, people)
    give_up(either, made[0], GivenUpFor.STUDENT)
    [row] = owed(either)
    assert row.subject == "Booked: Three mornings, 2 sessions from Sat 28 Nov 2026"
    for booking_id in made[1:]:
        give_up(either, booking_id, GivenUpFor.STUDENT)
    assert owed(either) == []


def test_a_course_is_told_as_long_as_any_of_it_is_to_come(either: Database, people: Cast) -> None:
    enrol(either, people)
    assert deliver(either, START + timedelta(days=3)) == Round(sent=1)


def test_a_course_that_is_over_is_told_no_more(either: Database, people: Cast) -> None:
    enrol(either, people)
    assert deliver(either, START + timedelta(days=9)).sent == 0


def test_a_single_booking_leaves_the_message_about_a_course_alone(
    either: Database, people: Cast
) -> None:
    enrol(either, people)
    booked(either, people)
    assert kinds(either) == ["confirmation", "confirmation"]
