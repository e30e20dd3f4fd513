"""Who waits is offered what becomes free, in the order in which they asked."""

from __future__ import annotations

from datetime import time, timedelta
from typing import Any

import pytest
from sqlalchemy import select

from app.rules.diary.values import BookingState, SessionKind, WaitingState
from app.rules.refusal import Refused
from app.store.database import Database
from app.store.diary import booking_writes, life, moving, waiting_writes
from app.store.diary.tables import OfferRow, SessionRow, WaitingRow
from tests.store.school.twins import add_twin, make_one
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, TOMORROW, add_session, add_students, book, booking
from tests.support.life import (
    HOUR,
    audited,
    held_for,
    letters,
    state,
    waits,
    with_mail,
)


@pytest.fixture
def mail(either: Database, people: Cast) -> Cast:
    """The cast, with addresses at which mail reaches the students."""
    return with_mail(either, people)


def test_a_freed_place_is_offered_to_the_first_whom_it_fits(either: Database, mail: Cast) -> None:
    training = add_session(either, mail, places=1)
    first, third = add_students(either, 2)
    taken = book(either, training, first, None)
    never = waits(either, third, 0, weekdays=frozenset({(TOMORROW.weekday() + 1) % 7}))
    lena = waits(either, mail.learner, 1)
    stan = waits(either, mail.stranger, 2)
    assert held_for(either, training) == []
    booking_writes.cancel_booking(either, DESK, taken, 1, START + HOUR)
    assert held_for(either, training) == [mail.learner]
    assert [state(either, one) for one in (never, lena, stan)] == [
        WaitingState.WAITING, WaitingState.OFFERED, WaitingState.WAITING,
    ]  # fmt: skip
    assert letters(either)[-1] == "offer"


def test_an_offer_that_is_let_lapse_goes_to_the_next(either: Database, mail: Cast) -> None:
    training = add_session(either, mail, places=1)
    lena = waits(either, mail.learner)
    assert held_for(either, training) == [mail.learner]
    stan = waits(either, mail.stranger, 1)
    tidied = life.tidy(either, START + 5 * HOUR)
    assert (tidied.lapsed, tidied.offered) == (1, 1)
    assert held_for(either, training) == [mail.stranger]
    assert (state(either, lena), state(either, stan)) == (
        WaitingState.WAITING, WaitingState.OFFERED,
    )  # fmt: skip
    tidied = life.tidy(either, START + 10 * HOUR)
    assert (tidied.lapsed, tidied.offered) == (1, 0), "the same session is offered once"


def test_an_offer_that_is_taken_ends_the_waiting(either: Database, people: Cast) -> None:
    training = add_session(either, people, places=1)
    lena = waits(either, people.learner)
    with either.reading() as session:
        offer = session.scalars(select(OfferRow)).one()
    booking_writes.confirm(either, DESK, offer.booking_id, 1, START + HOUR)
    assert state(either, lena) is WaitingState.PLACED
    assert booking(either, offer.booking_id).state is BookingState.BOOKED
    assert audited(either, "waiting", lena) == ["waits", "offered", "placed"]
    assert held_for(either, training) == []


def test_who_is_taken_off_the_list_lets_go_of_the_offer(either: Database, people: Cast) -> None:
    training = add_session(either, people, places=1)
    lena = waits(either, people.learner)
    stan = waits(either, people.stranger, 1)
    waiting_writes.withdraw(either, DESK, lena, 2, START + HOUR)
    assert state(either, lena) is WaitingState.WITHDRAWN
    assert held_for(either, training) == [people.stranger]
    with pytest.raises(Refused, match="not on the list"):
        waiting_writes.withdraw(either, DESK, lena, 3, START + HOUR)
    assert state(either, stan) is WaitingState.OFFERED


def test_who_is_booked_by_hand_waits_no_more(either: Database, people: Cast) -> None:
    full = add_session(either, people, places=1)
    book(either, full, people.stranger, None)
    lena = waits(either, people.learner)
    other = waits(either, people.learner, kind=SessionKind.CBT)
    later = add_session(either, people, starts=time(13), ends=time(15), kind=SessionKind.FIRST_RIDE)
    book(either, later, people.learner, None, START + HOUR)
    assert state(either, lena) is WaitingState.WAITING, "that is not what they wait for"
    another = add_session(either, people, day=TOMORROW + timedelta(days=1))
    assert held_for(either, another) == [people.learner]
    assert state(either, other) is WaitingState.WAITING


def test_who_is_moved_into_what_they_wait_for_waits_no_more(either: Database, people: Cast) -> None:
    wanted = add_session(either, people, places=1)
    other = add_session(either, people, starts=time(13), ends=time(15), places=1)
    book(either, wanted, people.stranger, None)
    mine = book(either, other, people.learner, None)
    this = waits(either, people.learner, session_id=wanted)
    any_day = waits(either, people.learner, 1, earliest=TOMORROW + timedelta(days=7))
    with either.writing() as session:
        session.get_one(SessionRow, wanted).places = 2
    moving.move(either, DESK, mine, 1, moving.Target(wanted, None), START)
    assert state(either, this) is WaitingState.PLACED
    assert state(either, any_day) is WaitingState.WAITING


def test_who_is_booked_elsewhere_lets_go_of_what_was_offered(
    either: Database, people: Cast
) -> None:
    offered = add_session(either, people, places=1)
    lena = waits(either, people.learner)
    stan = waits(either, people.stranger, 1)
    assert held_for(either, offered) == [people.learner]
    later = add_session(either, people, starts=time(13), ends=time(15), places=2)
    assert held_for(either, later) == [people.stranger]
    book(either, later, people.learner, None, START + HOUR)
    assert state(either, lena) is WaitingState.PLACED
    assert held_for(either, offered) == []
    assert state(either, stan) is WaitingState.OFFERED


def test_waiting_ends_with_its_last_day(either: Database, people: Cast) -> None:
    lena = waits(either, people.learner, latest=TOMORROW)
    life.tidy(either, START + timedelta(days=2))
    assert state(either, lena) is WaitingState.OVER


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"latest": TOMORROW - timedelta(days=1)}, "last_day"),
        (
            {"earliest": TOMORROW - timedelta(days=9), "latest": TOMORROW - timedelta(days=8)},
            "last_day",
        ),
        ({"latest": TOMORROW + timedelta(days=900)}, "last_day"),
        ({"weekdays": frozenset()}, "weekdays"),
        ({"begins": time(12), "ends": time(12)}, "ends"),
    ],
)
def test_nobody_waits_for_what_cannot_come(
    either: Database, people: Cast, facts: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as no:
        waits(either, people.learner, **facts)
    assert [reason.field for reason in no.value.reasons] == [field]


def test_nobody_waits_twice_for_the_same(either: Database, people: Cast) -> None:
    waits(either, people.learner)
    with pytest.raises(Refused, match="waits for this already"):
        waits(either, people.learner, 1)
    waits(either, people.learner, 2, kind=SessionKind.CBT)


def test_what_both_wait_for_is_waited_for_once(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    waits(either, people.learner, 1)
    first = waits(either, twin)
    other = waits(either, twin, 2, kind=SessionKind.CBT)
    make_one(either, people.learner, twin)
    with either.reading() as session:
        asked = select(WaitingRow.id).where(WaitingRow.student_id == people.learner)
        left = asked.where(WaitingRow.state == WaitingState.WAITING).order_by(WaitingRow.id)
        assert session.scalars(left).all() == [first, other]
