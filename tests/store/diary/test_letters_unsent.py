"""Letters that wait when what they say stops being so: dropped, joined, or written anew."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.rules.diary.values import BookingState, GivenUpFor
from app.rules.people.messages import MessageKind
from app.store.database import Database, Lock
from app.store.diary import letters
from app.store.diary.letter_truth import no_longer_so
from app.store.diary.tables import BookingRow
from app.store.outbox import MessageRow
from app.store.people.choices import choose
from app.store.people.tables import StudentRow
from app.store.post_office import Office, Round, send_owed
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK
from tests.support.letters import (
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
from tests.support.mail_server import mail_server


@pytest.fixture(autouse=True)
def email(either: Database, people: Cast) -> None:
    """Lena has an email on file, Stan has none."""
    write_to(either, people.learner)


def test_a_confirmation_that_never_left_is_dropped_for_the_change(
    either: Database, people: Cast
) -> None:
    made = booked(either, people)
    move(either, people, made, 13)
    dropped, change = outbox(either)
    assert (dropped.kind, dropped.dropped_at) == ("confirmation", START)
    assert dropped.last_error == "The booking changed before this was sent."
    assert "What to bring and wear" in change.body
    assert deliver(either) == Round(sent=1)


def test_two_changes_that_never_left_are_told_as_one(either: Database, people: Cast) -> None:
    made = booked(either, people)
    deliver(either)
    move(either, people, made, 13)
    move(either, people, made, 15)
    [row] = owed(either)
    assert "15:00 to 17:00" in row.body
    assert "09:00 to 11:00" in row.body.split("It was:")[1]
    assert "13:00" not in row.body


def test_a_change_that_was_taken_back_is_not_told(either: Database, people: Cast) -> None:
    made = booked(either, people)
    deliver(either)
    move(either, people, made, 13)
    move(either, people, made, 9)
    assert kinds(either) == []


def test_a_change_taken_back_before_the_confirmation_left_confirms(
    either: Database, people: Cast
) -> None:
    """Else the dropped confirmation would leave the student without a word."""
    choose(either, DESK, people.learner, [MessageKind.CONFIRMATION], START)
    made = booked(either, people)
    move(either, people, made, 13)
    [row] = owed(either)
    assert (row.kind, "13:00 to 15:00" in row.body) == ("confirmation", True)


def test_round_the_app_a_letter_that_no_longer_holds_is_dropped(
    either: Database, people: Cast
) -> None:
    made = booked(either, people)
    with either.writing() as session:
        row = session.get_one(BookingRow, made)
        row.state, row.cancelled_at = BookingState.CANCELLED, START
    assert deliver(either) == Round(dropped=1)
    assert outbox(either)[0].last_error == "The booking was cancelled before this was sent."


def test_a_letter_that_is_late_by_days_is_dropped(either: Database, people: Cast) -> None:
    booked(either, people)
    assert deliver(either, START + timedelta(days=3)) == Round(dropped=1)
    assert "had begun" in (outbox(either)[0].last_error or "")


def test_an_address_put_right_meanwhile_is_the_one_written_to(
    either: Database, people: Cast
) -> None:
    booked(either, people)
    write_to(either, people.learner, "lena.new@example.org")
    with mail_server() as (postbox, smtp):
        send_owed(either, Office(smtp, "school@example.org"), START, no_longer_so)
    assert postbox.recipients == ["lena.new@example.org"]
    assert outbox(either)[0].recipient == "lena.new@example.org"


def test_an_address_taken_off_meanwhile_is_not_written_to(either: Database, people: Cast) -> None:
    booked(either, people)
    write_to(either, people.learner, None)
    assert deliver(either) == Round(dropped=1)


def test_a_claimed_letter_is_not_dropped_and_the_next_one_follows_it(
    either: Database, people: Cast
) -> None:
    """A sender may have handed it over already, so the student may know what it says."""
    made = booked(either, people)
    with either.writing() as session:
        session.scalars(select(MessageRow)).one().claimed_at = START
    give_up(either, made, GivenUpFor.STUDENT)
    claimed, cancelled = outbox(either)
    assert (claimed.dropped_at, cancelled.kind) == (None, "cancellation")


def test_html_is_safe_whatever_a_name_holds(either: Database, people: Cast) -> None:
    with either.writing() as session:
        session.get_one(
            StudentRow, people.learner
        ).name = '<script>alert(1)</script> & "Co"\r\nX: y'
    booked(either, people)
    [row] = owed(either)
    assert "<script" not in (row.html or "")
    assert "Hello &lt;script&gt;alert(1)&lt;/script&gt; &amp; &#34;Co&#34; X: y," in (
        row.html or ""
    )


def test_giving_up_while_it_is_being_sent_leaves_nobody_with_half_the_story(
    either: Database, people: Cast
) -> None:
    """Either the confirmation leaves and a cancellation follows it, or neither does."""
    bookings = [coming(either, people, START + timedelta(days=days)) for days in range(2, 14)]
    with either.writing(Lock.DIARY) as session:
        for booking_id in bookings:
            letters.booked(session, booking_id, START)

    def cancel_all(school: Database) -> None:
        for booking_id in reversed(bookings):
            give_up(school, booking_id, GivenUpFor.STUDENT)

    with ThreadPoolExecutor(2) as pool:
        sending, _ = pool.submit(deliver, either), pool.submit(cancel_all, either).result()
        sending.result()
    deliver(either)
    told = {booking_id: set[str]() for booking_id in bookings}
    for row in outbox(either):
        assert (row.sent_at is None) is not (row.dropped_at is None)
        if row.sent_at is not None:
            told[row.booking_id or 0].add(row.kind)
    assert all(each in (set(), {"confirmation", "cancellation"}) for each in told.values())
