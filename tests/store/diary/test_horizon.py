"""What finding a place is told is what stands in the diary, in as many queries however full."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import update

from app.rules.categories import Category
from app.rules.diary.facts import Rider
from app.rules.diary.finding_facts import Horizon, Wish
from app.rules.diary.finding_places import places_in_sessions
from app.rules.diary.values import BookingState, SessionKind
from app.store.database import Database
from app.store.diary import booking_writes, session_writes
from app.store.diary.booking_writes import WantedPlace
from app.store.diary.horizon import load
from app.store.diary.tables import BookingRow
from app.store.yards.tables import YardRow
from tests.support.cast import Cast
from tests.support.clock import LONDON, START
from tests.support.diary import DESK, TOMORROW, add_session, add_students, book, fill
from tests.support.queries import counted

LAST = TOMORROW + timedelta(days=9)
QUERIES = 12


def horizon(database: Database, now: datetime = START) -> Horizon:
    """The ten days from tomorrow on."""
    with database.reading() as session:
        return load(session, TOMORROW, LAST, now, LONDON)


def wish(student_id: int, **changes: object) -> Wish:
    """A grown student of category A who can come on any of these days."""
    rider = Rider("Rider 00000", Category.A, date(1998, 5, 17), has_guardian=False)
    return Wish(student_id, rider, SessionKind.MODULE_1, TOMORROW, LAST, **changes)  # type: ignore[arg-type]


def test_the_number_of_queries_does_not_depend_on_the_rows(either: Database, people: Cast) -> None:
    with counted(either) as few:
        horizon(either)
    fill(either, people)
    add_students(either, 500)
    with counted(either) as many:
        found = horizon(either)
    assert len(found.sessions) > 20
    assert (len(few), len(many)) == (QUERIES, QUERIES), many


def test_a_session_is_told_as_it_stands(either: Database, people: Cast) -> None:
    made = add_session(either, people, starts=time(9, 30), kind=SessionKind.CBT, places=3)
    booked = book(either, made, people.learner, people.bike)
    found = horizon(either)
    session = found.by_id[made]
    assert (session.day, session.begins, session.ends) == (TOMORROW, time(9, 30), time(11))
    assert (session.kind, session.yard_id, session.places) == (SessionKind.CBT, people.yard, 3)
    assert session.instructor_id == people.instructor
    (taking,) = found.inside[made]
    assert (taking.booking_id, taking.student_id) == (booked, people.learner)
    assert (taking.bike_id, found.taken(made)) == (people.bike, 1)
    assert found.of_student[people.learner] == (people.session, made)
    assert found.yards[people.small_yard].area.avoidance_left is False
    assert found.instructors[people.instructor].state.id == people.instructor
    assert set(found.bikes) == {people.bike, people.other_bike}


def test_what_was_given_up_is_free(either: Database, people: Cast) -> None:
    made = add_session(either, people)
    given_up = book(either, made, people.learner, people.bike)
    booking_writes.cancel_booking(either, DESK, given_up, 1, START)
    assert horizon(either).taken(made) == 0
    session_writes.cancel_session(either, DESK, made, 1, START)
    assert made not in horizon(either).by_id


@pytest.mark.parametrize(("minutes", "taken"), [(-1, 0), (0, 0), (1, 1)])
def test_a_place_is_held_until_its_hold_is_over(
    either: Database, people: Cast, minutes: int, taken: int
) -> None:
    made = add_session(either, people)
    booked = book(either, made, people.learner, people.bike)
    until = START + timedelta(minutes=minutes)
    with either.writing() as session:
        held = {"state": BookingState.HELD, "held_until": until}
        session.execute(update(BookingRow).where(BookingRow.id == booked).values(**held))
    assert horizon(either).taken(made) == taken


def test_what_is_found_can_be_booked_and_is_then_gone(either: Database, people: Cast) -> None:
    made = add_session(either, people, places=1)
    (rider,) = add_students(either, 1)
    (place,) = places_in_sessions(wish(rider), horizon(either), START, LONDON)
    assert (place.session_id, place.bike_id) == (made, people.bike)
    wanted = WantedPlace(made, rider, place.bike_id)
    booking_writes.book(either, DESK, wanted, uuid4(), START)
    assert places_in_sessions(wish(rider), horizon(either), START, LONDON) == ()


def test_a_closed_yard_is_told(either: Database, people: Cast) -> None:
    with either.writing() as session:
        session.execute(update(YardRow).where(YardRow.id == people.yard).values(open=False))
    assert horizon(either).yards[people.yard].state.open is False
