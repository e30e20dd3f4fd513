"""A session that is made for a student stands with their place in it, or not at all."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import delete, func, select, update

from app.rules.diary.finding import find
from app.rules.diary.finding_facts import Wish
from app.rules.diary.values import BookingState, SessionKind
from app.rules.refusal import Missing, Refused
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary import horizon, openings
from app.store.diary.loading import rider
from app.store.diary.openings import WantedOpening
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow, YardRow
from tests.support.cast import Cast
from tests.support.clock import LONDON, START
from tests.support.diary import DESK, TOMORROW, add_session, book
from tests.support.queries import counted

TEN = datetime.combine(TOMORROW, time(10), UTC)


def wanted(people: Cast, **changes: Any) -> WantedOpening:
    """Lena with Ines in the long yard tomorrow at 10 for two hours on the first bike."""
    usual = WantedOpening(
        student_id=people.learner,
        kind=SessionKind.MODULE_1,
        yard_id=people.yard,
        instructor_id=people.instructor,
        starts_at=TEN,
        minutes=120,
        bike_id=people.bike,
    )
    return replace(usual, **changes)


def make(database: Database, opening: WantedOpening) -> int:
    """Make it."""
    return openings.make_and_book(database, DESK, opening, uuid4(), START)


def kept(database: Database) -> tuple[int, int, int]:
    """How many sessions, bookings and entries of the audit there are."""
    with database.reading() as session:
        counts = [
            session.scalar(select(func.count()).select_from(row)) or 0
            for row in (SessionRow, BookingRow, AuditEntryRow)
        ]
    return counts[0], counts[1], counts[2]


def test_the_session_and_the_place_are_kept_together(either: Database, people: Cast) -> None:
    made = make(either, wanted(people))
    with either.reading() as session:
        row = session.get_one(SessionRow, made)
        booking = session.scalars(select(BookingRow).where(BookingRow.session_id == made)).one()
        said = session.scalars(select(AuditEntryRow.action).order_by(AuditEntryRow.id)).all()
    assert (row.starts_at, row.ends_at) == (TEN, TEN + timedelta(hours=2))
    assert (row.kind, row.places, row.instructor_id) == (SessionKind.MODULE_1, 4, people.instructor)
    assert (booking.student_id, booking.bike_id) == (people.learner, people.bike)
    assert booking.state is BookingState.BOOKED
    assert said[-2:] == ["made", "booked"]


def test_the_same_form_makes_one_session(either: Database, people: Cast) -> None:
    key = uuid4()
    first = openings.make_and_book(either, DESK, wanted(people), key, START)
    before = kept(either)
    assert openings.make_and_book(either, DESK, wanted(people), key, START) == first
    assert kept(either) == before


def test_on_the_road_a_session_has_two_places(either: Database, people: Cast) -> None:
    made = make(either, wanted(people, kind=SessionKind.ROAD, bike_id=None))
    with either.reading() as session:
        assert session.get_one(SessionRow, made).places == 2


def test_a_yard_that_others_use_leaves_fewer_places(either: Database, people: Cast) -> None:
    add_session(
        either,
        people,
        instructor_id=people.other_instructor,
        starts=time(11),
        ends=time(13),
        places=3,
    )
    made = make(either, wanted(people))
    with either.reading() as session:
        assert session.get_one(SessionRow, made).places == 1


def _instructor_taken(database: Database, people: Cast) -> None:
    add_session(database, people, yard_id=people.small_yard, places=2)


def _yard_full(database: Database, people: Cast) -> None:
    add_session(database, people, instructor_id=people.other_instructor)


def _bike_taken(database: Database, people: Cast) -> None:
    other = add_session(
        database, people, instructor_id=people.other_instructor, yard_id=people.small_yard, places=2
    )
    book(database, other, people.stranger, people.bike)


def _student_taken(database: Database, people: Cast) -> None:
    other = add_session(
        database, people, instructor_id=people.other_instructor, yard_id=people.small_yard, places=2
    )
    book(database, other, people.learner, people.other_bike)


def _under_age(database: Database, people: Cast) -> None:
    with database.writing() as session:
        born = {"date_of_birth": date(2009, 5, 17)}
        session.execute(update(StudentRow).where(StudentRow.id == people.learner).values(**born))


def _yard_closed(database: Database, people: Cast) -> None:
    with database.writing() as session:
        session.execute(update(YardRow).where(YardRow.id == people.yard).values(open=False))


def _off_the_road(database: Database, people: Cast) -> None:
    with database.writing() as session:
        off = {"off_road_since": START, "off_road_reason": "Clutch cable frayed"}
        session.execute(update(BikeRow).where(BikeRow.id == people.bike).values(**off))


IN_THE_WAY = {
    "instructor": (_instructor_taken, "Ines Heron already has a session in Short yard"),
    "yard": (_yard_full, "none is left"),
    "bike": (_bike_taken, "Bike 1 is taken by Stan Crake"),
    "student": (_student_taken, "Lena Wren is booked in Short yard"),
    "guardian": (_under_age, "Put a guardian’s name and phone on file first."),
    "closed": (_yard_closed, "Long yard is closed."),
    "off the road": (_off_the_road, "Bike 1 is off the road: Clutch cable frayed."),
}


@pytest.mark.parametrize("what", IN_THE_WAY)
def test_what_came_in_the_way_meanwhile_is_told_and_nothing_is_kept(
    either: Database, people: Cast, what: str
) -> None:
    happen, sentence = IN_THE_WAY[what]
    happen(either, people)
    before = kept(either)
    with pytest.raises(Refused, match=sentence):
        make(either, wanted(people))
    assert kept(either) == before


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"minutes": 5}, "at least 15 minutes"),
        ({"minutes": 19 * 60}, "at most 10 hours"),
        ({"minutes": -60}, "end after it starts"),
        ({"starts_at": TEN - timedelta(days=2)}, "This day is over"),
        ({"starts_at": TEN + timedelta(days=800)}, "more than two years ahead"),
        ({"yard_id": 9999}, "Choose a yard"),
        ({"instructor_id": 9999}, "Choose an instructor"),
        ({"bike_id": 9999}, "Choose a bike"),
    ],
)
def test_a_session_that_cannot_be_is_refused(
    database: Database, people: Cast, changes: dict[str, Any], sentence: str
) -> None:
    before = kept(database)
    with pytest.raises(Refused, match=sentence):
        make(database, wanted(people, **changes))
    assert kept(database) == before


def test_nobody_is_nobody(database: Database, people: Cast) -> None:
    with pytest.raises(Missing):
        make(database, wanted(people, student_id=9999))


def test_every_opening_that_is_found_can_be_made(either: Database, people: Cast) -> None:
    add_session(either, people, starts=time(11), ends=time(12))
    with either.reading() as session:
        wish = Wish(
            people.learner,
            rider(session, people.learner),
            SessionKind.CBT,
            TOMORROW,
            TOMORROW + timedelta(days=1),
        )
        facts = horizon.load(session, wish.first_day, wish.last_day, START, LONDON)
    found = find(wish, facts, START, LONDON)
    assert found.places
    for place in found.places:
        minutes = (place.span.ends_at - place.span.starts_at) // timedelta(minutes=1)
        made = make(
            either,
            WantedOpening(
                people.learner,
                place.kind,
                place.yard_id,
                place.instructor_id,
                place.span.starts_at,
                minutes,
                place.bike_id,
            ),
        )
        _forget(either, made)


def _forget(database: Database, session_id: int) -> None:
    with database.writing() as session:
        session.execute(delete(BookingRow).where(BookingRow.session_id == session_id))
        session.execute(delete(SessionRow).where(SessionRow.id == session_id))


def test_the_page_asks_as_often_however_full_the_diary_is(either: Database, people: Cast) -> None:
    with either.reading() as session, counted(either) as few:
        openings.opening(session, wanted(people), START)
    add_session(either, people)
    add_session(either, people, starts=time(12), ends=time(14))
    with either.reading() as session, counted(either) as many:
        shown = openings.opening(session, wanted(people), START)
    assert len(few) == len(many)
    assert any("Ines Heron already has a session" in sentence for sentence in shown.against)
