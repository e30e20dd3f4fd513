"""What students are told when something becomes of their bookings, and what they are not."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from sqlalchemy.orm import Session

from app.rules.diary.values import GivenUpFor
from app.rules.people.messages import MessageKind
from app.rules.refusal import Refused
from app.store.database import Database
from app.store.diary import booking_writes, letters, session_writes
from app.store.people.choices import choose
from app.store.post_office import Round
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, add_session, book, booking, wish
from tests.support.letters import (
    LENA,
    booked,
    coming,
    deliver,
    give_up,
    kinds,
    move,
    outbox,
    owed,
    write_to,
)


@pytest.fixture(autouse=True)
def email(either: Database, people: Cast) -> None:
    """Lena has an email on file, Stan has none."""
    write_to(either, people.learner)


def test_a_booking_owes_a_confirmation_in_text_and_html(either: Database, people: Cast) -> None:
    made = booked(either, people)
    [row] = owed(either)
    assert (row.recipient, row.kind, row.student_id) == (LENA, "confirmation", people.learner)
    assert (row.booking_id, row.made_at) == (made, START)
    assert row.subject == "Booked: Module 1 training, Fri 27 Nov 2026, 09:00"
    assert "When: Fri 27 Nov 2026, 09:00 to 11:00" in row.body
    assert "<strong>Fri 27 Nov 2026, 09:00 to 11:00</strong>" in (row.html or "")


def test_nobody_without_an_email_is_written_to(either: Database, people: Cast) -> None:
    made = book(either, add_session(either, people), people.stranger, people.other_bike)
    move(either, people, made, 13)
    assert outbox(either) == []


def test_a_refused_booking_says_nothing(either: Database, people: Cast) -> None:
    training = add_session(either, people)
    book(either, training, people.learner, people.bike)
    with pytest.raises(Refused):
        book(either, training, people.learner, people.bike)
    assert kinds(either) == ["confirmation"]


def test_what_is_rolled_back_says_nothing(either: Database, people: Cast) -> None:
    made = coming(either, people, START + timedelta(days=2))

    def fail(session: Session) -> None:
        letters.booked(session, made, START)
        raise RuntimeError

    with pytest.raises(RuntimeError), either.writing() as session:
        fail(session)
    assert outbox(either) == []


def test_a_form_sent_twice_says_it_once(either: Database, people: Cast) -> None:
    key, training = uuid4(), add_session(either, people)
    place = booking_writes.WantedPlace(training, people.learner, people.bike)
    for _ in range(2):
        booking_writes.book(either, DESK, place, key, START)
    assert kinds(either) == ["confirmation"]


def test_a_kind_that_is_not_wanted_is_not_written(either: Database, people: Cast) -> None:
    choose(either, DESK, people.learner, [MessageKind.CHANGE], START)
    made = booked(either, people)
    assert outbox(either) == []
    move(either, people, made, 13)
    assert kinds(either) == ["change"]


def test_who_wants_no_more_is_not_sent_what_waits(either: Database, people: Cast) -> None:
    booked(either, people)
    choose(either, DESK, people.learner, [], START)
    assert deliver(either) == Round(dropped=1)
    assert outbox(either)[0].last_error == "They chose not to get messages of this kind."


def test_a_moved_session_says_what_it_was_and_what_it_is(either: Database, people: Cast) -> None:
    made = booked(either, people)
    assert deliver(either) == Round(sent=1)
    move(either, people, made, 13)
    [row] = owed(either)
    assert row.subject == "Changed: Module 1 training, Fri 27 Nov 2026, 13:00"
    now, was = row.body.split("It was:")
    assert "When: Fri 27 Nov 2026, 13:00 to 15:00" in now
    assert was.startswith("\n  When: Fri 27 Nov 2026, 09:00 to 11:00\n\n")


def test_a_session_with_another_remark_says_nothing(either: Database, people: Cast) -> None:
    made = booked(either, people)
    training = booking(either, made).session_id
    to = wish(people, places=3, remarks="Bring cones")
    session_writes.edit_session(either, DESK, training, 1, to, START)
    assert kinds(either) == ["confirmation"]


def test_another_bike_is_a_change(either: Database, people: Cast) -> None:
    made = booked(either, people)
    deliver(either)
    booking_writes.change_bike(either, DESK, made, 1, people.other_bike, START)
    [row] = owed(either)
    assert "Bike: Bike 2" in row.body
    assert row.body.split("It was:")[1].startswith("\n  Bike: Bike 1\n\n")


@pytest.mark.parametrize("why", [GivenUpFor.SCHOOL, GivenUpFor.WEATHER, None])
def test_a_cancellation_is_told_with_its_reason(
    either: Database, people: Cast, why: GivenUpFor | None
) -> None:
    made = booked(either, people)
    deliver(either)
    give_up(either, made, why)
    [row] = owed(either)
    assert row.subject == "Cancelled: Module 1 training, Fri 27 Nov 2026, 09:00"
    words = {
        GivenUpFor.SCHOOL: "has had to cancel this",
        GivenUpFor.WEATHER: "the weather does not allow riding",
        None: "Your place is cancelled.",
    }
    assert words[why] in row.body


@pytest.mark.parametrize("why", [GivenUpFor.HOLD_OVER, GivenUpFor.MERGED])
def test_what_ends_without_a_word(either: Database, people: Cast, why: GivenUpFor) -> None:
    give_up(either, coming(either, people, START + timedelta(days=2)), why)
    assert outbox(either) == []


def test_a_student_who_gives_up_before_the_confirmation_left_gets_neither(
    either: Database, people: Cast
) -> None:
    made = booked(either, people)
    give_up(either, made, GivenUpFor.STUDENT)
    [row] = outbox(either)
    assert row.dropped_at == START
    assert "so neither it nor a cancellation is sent" in (row.last_error or "")


def test_a_school_that_cancels_is_heard_even_if_the_confirmation_never_left(
    either: Database, people: Cast
) -> None:
    made = booked(either, people)
    give_up(either, made, GivenUpFor.WEATHER)
    assert kinds(either) == ["cancellation"]
    assert deliver(either) == Round(sent=1)


def test_a_cancelled_session_tells_everyone_in_it(either: Database, people: Cast) -> None:
    write_to(either, people.stranger, "stan.crake@example.org")
    training = add_session(either, people)
    book(either, training, people.learner, people.bike)
    book(either, training, people.stranger, people.other_bike)
    assert deliver(either) == Round(sent=2)
    session_writes.cancel_session(either, DESK, training, 1, START)
    assert {row.recipient for row in owed(either)} == {LENA, "stan.crake@example.org"}
    assert kinds(either) == ["cancellation", "cancellation"]
