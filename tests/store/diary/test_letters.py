"""What students are told when something becomes of their bookings, and what they are not."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.values import BookingState, GivenUpFor
from app.rules.people.messages import MessageKind
from app.rules.refusal import Refused
from app.store.database import Database, Lock
from app.store.diary import booking_writes, letters, session_writes
from app.store.diary.letter_truth import no_longer_so
from app.store.diary.tables import BookingRow, CourseRow, SessionRow
from app.store.outbox import MessageRow
from app.store.people.choices import choose
from app.store.people.tables import StudentRow
from app.store.post_office import Office, Round, send_owed
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, add_session, book, booking, wish
from tests.support.letters import LENA, coming, outbox, owed, write_to
from tests.support.mail_server import mail_server

LATER = START + timedelta(minutes=10)


@pytest.fixture(autouse=True)
def email(either: Database, people: Cast) -> None:
    """Lena has an email on file, Stan has none."""
    write_to(either, people.learner)


def kinds(school: Database) -> list[str]:
    """What waits to be sent, oldest first."""
    return [row.kind for row in owed(school)]


def deliver(school: Database, now: datetime = START) -> Round:
    """Send all that waits, to a server of its own."""
    with mail_server() as (_, smtp):
        return send_owed(school, Office(smtp, "school@example.org"), now, no_longer_so)


def booked(school: Database, people: Cast) -> int:
    """Lena on Bike 1 tomorrow from 09:00; the booking's id."""
    return book(school, add_session(school, people), people.learner, people.bike)


def move(school: Database, people: Cast, booking_id: int, hour: int) -> None:
    """Put the session of a booking at another hour."""
    training = booking(school, booking_id).session_id
    with school.reading() as session:
        version = session.get_one(SessionRow, training).version
    to = wish(people, starts=time(hour), ends=time(hour + 2))
    session_writes.edit_session(school, DESK, training, version, to, START)


def give_up(school: Database, booking_id: int, why: GivenUpFor | None) -> None:
    """Cancel a booking for a reason, as a write does."""
    with school.writing(Lock.DIARY) as session:
        row = session.get_one(BookingRow, booking_id)
        row.state, row.cancelled_at, row.given_up_for = BookingState.CANCELLED, START, why
        row.held_until = None
        letters.cancelled(session, booking_id, START)


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


def hold(school: Database, people: Cast, until: datetime) -> int:
    """A place held for Lena and offered to her; the booking's id."""
    made = coming(school, people, START + timedelta(days=3), BookingState.HELD)
    with school.writing(Lock.DIARY) as session:
        session.get_one(BookingRow, made).held_until = until
        session.flush()
        letters.offered(session, made, START)
    return made


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


def test_a_single_booking_leaves_the_message_about_a_course_alone(
    either: Database, people: Cast
) -> None:
    enrol(either, people)
    booked(either, people)
    assert kinds(either) == ["confirmation", "confirmation"]


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
