"""Many clients at once: exactly one wins, the others get the plain reason."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, time
from threading import Barrier
from uuid import uuid4

import pytest
from sqlalchemy import func, select

from app.rules.diary.values import SessionKind
from app.rules.refusal import Refused
from app.store.database import Database
from app.store.diary import booking_writes, openings, session_writes
from app.store.diary.booking_writes import WantedPlace
from app.store.diary.openings import WantedOpening
from app.store.diary.tables import BookingRow
from tests.support import cast
from tests.support.clock import START
from tests.support.diary import (
    DESK,
    TOMORROW,
    add_bikes,
    add_session,
    add_students,
    sessions_kept,
    wish,
)

CLIENTS = 10
ROUNDS = 3


def _all_at_once(turns: Iterable[Callable[[], int]]) -> list[int | str]:
    """Run every turn in a thread of its own, none before all are ready."""
    turns = list(turns)
    ready = Barrier(len(turns))

    def take(turn: Callable[[], int]) -> int | str:
        ready.wait()
        try:
            return turn()
        except Refused as refused:
            return str(refused)

    with ThreadPoolExecutor(len(turns)) as pool:
        return list(pool.map(take, turns))


def _booker(either: Database, place: WantedPlace) -> Callable[[], int]:
    return lambda: booking_writes.book(either, DESK, place, uuid4(), START)


def _one_winner(answers: list[int | str], reason: str) -> None:
    assert sum(isinstance(answer, int) for answer in answers) == 1
    losers = [answer for answer in answers if isinstance(answer, str)]
    assert len(losers) == CLIENTS - 1
    assert all(reason in said for said in losers), losers


@pytest.mark.parametrize("turn", range(ROUNDS))
def test_the_last_place_goes_to_one(either: Database, people: cast.Cast, turn: int) -> None:
    training = add_session(either, people, places=1)
    riders, bikes = add_students(either, CLIENTS), add_bikes(either, CLIENTS)
    places = [WantedPlace(training, *pair) for pair in zip(riders, bikes, strict=True)]
    answers = _all_at_once(_booker(either, place) for place in places)
    _one_winner(answers, "This session is full: its 1 place is taken.")


@pytest.mark.parametrize("turn", range(ROUNDS))
def test_one_bike_goes_to_one_even_from_two_yards(
    either: Database, people: cast.Cast, turn: int
) -> None:
    here = add_session(either, people)
    there = add_session(
        either, people, yard_id=people.small_yard, instructor_id=people.other_instructor, places=3
    )
    riders = add_students(either, CLIENTS)
    places = [
        WantedPlace(here if n % 2 else there, rider, people.bike) for n, rider in enumerate(riders)
    ]
    answers = _all_at_once(_booker(either, place) for place in places)
    _one_winner(answers, "Bike 1 is taken by Rider")


@pytest.mark.parametrize("turn", range(ROUNDS))
def test_one_student_is_in_one_place(either: Database, people: cast.Cast, turn: int) -> None:
    here = add_session(either, people)
    there = add_session(
        either, people, yard_id=people.small_yard, instructor_id=people.other_instructor, places=3
    )
    places = [
        WantedPlace(here if n % 2 else there, people.learner, bike)
        for n, bike in enumerate(add_bikes(either, CLIENTS))
    ]
    answers = _all_at_once(_booker(either, place) for place in places)
    _one_winner(answers, "Lena Wren")
    with either.reading() as session:
        upcoming = select(func.count()).where(BookingRow.session_id.in_((here, there)))
        assert session.scalar(upcoming) == 1


@pytest.mark.parametrize("turn", range(ROUNDS))
def test_one_instructor_has_one_session(either: Database, people: cast.Cast, turn: int) -> None:
    wishes = [wish(people, starts=time(9, 5 * n), places=1) for n in range(CLIENTS)]

    def maker(number: int) -> Callable[[], int]:
        return lambda: session_writes.add_session(either, DESK, wishes[number], uuid4(), START)

    answers = _all_at_once(maker(n) for n in range(CLIENTS))
    _one_winner(answers, "Ines Heron already has a session in Long yard")
    assert len(sessions_kept(either)) == 3


def test_a_form_sent_ten_times_at_once_books_once(either: Database, people: cast.Cast) -> None:
    place = WantedPlace(add_session(either, people), people.learner, people.bike)
    key = uuid4()
    answers = _all_at_once(
        lambda: booking_writes.book(either, DESK, place, key, START) for _ in range(CLIENTS)
    )
    assert len(set(answers)) == 1
    assert isinstance(answers[0], int)


@pytest.mark.parametrize("turn", range(ROUNDS))
def test_one_opening_becomes_one_session(either: Database, people: cast.Cast, turn: int) -> None:
    riders, bikes = add_students(either, CLIENTS), add_bikes(either, CLIENTS)
    before = len(sessions_kept(either))
    ten = datetime.combine(TOMORROW, time(10), UTC)
    kind, yard, who = SessionKind.CBT, people.yard, people.instructor

    def maker(rider: int, bike: int) -> Callable[[], int]:
        wanted = WantedOpening(rider, kind, yard, who, ten, 120, bike)
        return lambda: openings.make_and_book(either, DESK, wanted, uuid4(), START)

    answers = _all_at_once(map(maker, riders, bikes))
    _one_winner(answers, "Ines Heron already has a session in Long yard")
    assert len(sessions_kept(either)) == before + 1
