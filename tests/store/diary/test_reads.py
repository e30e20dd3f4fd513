"""What the desk's screens read: always as many queries, however full the school is."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import insert

from app.rules.categories import Category
from app.rules.diary.values import BookingState
from app.rules.papers.values import PaperKind
from app.store.database import Database, Session
from app.store.diary import attention, booking_writes, card_reads, reads
from app.store.papers.tables import PaperRow
from app.store.yards import writes as yards
from tests.support import cast
from tests.support.clock import START
from tests.support.diary import (
    DESK,
    add_bikes,
    add_session,
    add_students,
    book,
    fill,
)
from tests.support.queries import counted

LONDON = ZoneInfo("Europe/London")
TODAY = date(2026, 11, 26)


Read = Callable[[Session, cast.Cast], object]
SCREENS: dict[str, tuple[int, Read]] = {
    "session": (2, lambda s, people: reads.session_page(s, people.session)),
    "card": (7, lambda s, people: card_reads.card(s, people.learner, START, LONDON)),
    "look": (8, lambda s, _: attention.attention(s, START + timedelta(days=5), LONDON)),
}


@pytest.mark.parametrize("screen", SCREENS)
def test_the_number_of_queries_does_not_depend_on_the_rows(
    either: Database, people: cast.Cast, screen: str
) -> None:
    number, read = SCREENS[screen]
    with either.reading() as session, counted(either) as few:
        read(session, people)
    fill(either, people)
    with either.reading() as session, counted(either) as many:
        read(session, people)
    assert (len(few), len(many)) == (number, number), many


def test_the_card_offers_what_has_a_place_when_the_student_is_free(
    either: Database, people: cast.Cast
) -> None:
    booked = add_session(either, people)
    clash = add_session(
        either, people, yard_id=people.small_yard, instructor_id=people.other_instructor, places=3
    )
    full = add_session(either, people, starts=time(11), ends=time(12), places=1)
    free = add_session(either, people, starts=time(13), ends=time(15))
    book(either, booked, people.learner, people.bike)
    book(either, full, people.stranger, people.other_bike)
    with either.reading() as session:
        card = card_reads.card(session, people.learner, START, LONDON)
    assert [line.id for line in card.soonest] == [free]
    assert [one.session.id for one in card.coming] == [people.session, booked]
    assert clash
    assert card.past == ()


def test_a_place_given_up_leaves_the_coming_ones(either: Database, people: cast.Cast) -> None:
    made = book(either, add_session(either, people), people.learner, people.bike)
    booking_writes.cancel_booking(either, DESK, made, 1, START)
    with either.reading() as session:
        card = card_reads.card(session, people.learner, START, LONDON)
    assert [one.place.booking_id for one in card.coming] == [people.booking]
    assert [one.place.state_words for one in card.past] == ["cancelled, late"]


def test_the_best_bike_is_proposed_first_and_those_in_use_are_left_out(
    either: Database, people: cast.Cast
) -> None:
    training = add_session(either, people)
    small = add_bikes(either, 2, Category.A1)
    yards.take_off_road(either, DESK, small[1], 1, "Flat tyre", START)
    book(either, training, people.stranger, people.bike)
    with either.reading() as session:
        line = reads.session_page(session, training).line
        for_a = card_reads.free_bikes(session, line, Category.A, START)
        for_a1 = card_reads.free_bikes(session, line, Category.A1, START)
    assert [bike.id for bike in for_a] == [people.other_bike, small[0]]
    assert [bike.id for bike in for_a1] == [small[0]]


def test_a_bike_off_the_road_with_someone_booked_on_it_needs_a_look(
    either: Database, people: cast.Cast
) -> None:
    training = add_session(either, people)
    book(either, training, people.learner, people.bike)
    yards.take_off_road(either, DESK, people.bike, 1, "Flat tyre", START)
    with either.reading() as session:
        look = attention.attention(session, START, LONDON)
    assert {one.session_id for one in look.bikes} == {people.session, training}
    assert look.bikes[0].why == "Bike 1 is off the road. Give them another bike."


@pytest.mark.parametrize(
    ("issued", "gone"), [(date(2024, 11, 27), True), (date(2024, 11, 28), False)]
)
def test_a_certificate_that_lapses_before_the_session_needs_a_look(
    either: Database, people: cast.Cast, issued: date, gone: bool
) -> None:
    training = add_session(either, people)
    (rider,) = add_students(either, 1)
    book(either, training, rider, people.bike)
    lapses = issued.replace(year=issued.year + 2)
    with either.writing() as session:
        for began, ends in ((date(2020, 1, 1), date(2022, 1, 1)), (issued, lapses)):
            paper = {"kind": PaperKind.CBT, "issued_on": began, "expires_on": ends}
            session.execute(insert(PaperRow).values(student_id=rider, checked_at=START, **paper))
    with either.reading() as session:
        look = attention.attention(session, START, LONDON)
    assert [one.student_id for one in look.papers] == ([rider] if gone else [])


def test_those_whom_nobody_marked_need_a_look(either: Database, people: cast.Cast) -> None:
    booking_writes.mark(either, DESK, people.booking, 1, BookingState.ATTENDED, START)
    with either.reading() as session:
        look = attention.attention(session, START + timedelta(hours=3), LONDON)
        assert not attention.attention(session, START, LONDON)
    assert [one.student for one in look.unmarked] == ["Stan Crake"]
