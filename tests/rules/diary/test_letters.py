"""What students are written about their bookings, and when a letter no longer holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.diary import letters
from app.rules.diary.appointments import Appointment, appointment_from, what_changed
from app.rules.diary.letters import CAUTION, Sender, reminder_from, why_not_so
from app.rules.diary.values import BookingState, GivenUpFor, SessionKind
from app.rules.letters import MOST_SUBJECT, Letter, as_text, one_line
from app.rules.people.messages import MessageKind
from tests.support.clock import LONDON

SCHOOL = Sender(
    name="Saltmarsh Rider School",
    phone="01632 960100",
    email="desk@example.org",
    zone=LONDON,
    bring_and_wear="Bring your licence.\nWear boots.",
    notice_hours=48,
)
PLACE = Appointment(
    starts_at=datetime(2026, 12, 3, 14, 30, tzinfo=UTC),
    ends_at=datetime(2026, 12, 3, 16, 30, tzinfo=UTC),
    kind=SessionKind.MODULE_1,
    yard_id=1,
    yard="Long yard",
    instructor_id=1,
    instructor="Ines Heron",
    bike_id=1,
    bike="Bike 1",
)
UNTIL = datetime(2026, 12, 1, 17, 0, tzinfo=UTC)
ROWS = ("When: Thu 3 Dec 2026, 14:30 to 16:30", "What: Module 1 training", "Where: Long yard")
LATER = replace(
    PLACE,
    starts_at=PLACE.starts_at + timedelta(days=1),
    ends_at=PLACE.ends_at + timedelta(days=1),
    bike_id=None,
    bike=None,
)
EVERY = (
    letters.confirmation(SCHOOL, "Lena Wren", PLACE),
    letters.change(SCHOOL, "Lena Wren", PLACE, LATER),
    letters.cancellation(SCHOOL, "Lena Wren", PLACE, GivenUpFor.SCHOOL, late=False),
    letters.reminder(SCHOOL, "Lena Wren", PLACE),
    letters.offer(SCHOOL, "Lena Wren", PLACE, UNTIL),
    letters.course(SCHOOL, "Lena Wren", "Four mornings", [PLACE, LATER]),
)


@pytest.mark.parametrize("letter", EVERY, ids=lambda letter: letter.subject.split()[0])
def test_every_letter_says_when_and_where_and_who_writes(letter: Letter) -> None:
    text = as_text(letter)
    assert text.startswith("Hello Lena Wren,\n\n")
    assert text.endswith("\n\nSaltmarsh Rider School\n01632 960100\ndesk@example.org\n")
    assert all(row in text for row in ROWS) or "It was" in text
    assert "!" not in text


def test_a_confirmation_says_what_to_bring_and_what_a_late_cancellation_is() -> None:
    letter = EVERY[0]
    assert letter.subject == "Booked: Module 1 training, Thu 3 Dec 2026, 14:30"
    text = as_text(letter)
    assert "What to bring and wear:\nBring your licence.\nWear boots.\n" in text
    assert "at least 48 hours before it starts" in text
    assert CAUTION in text
    assert "  Instructor: Ines Heron\n  Bike: Bike 1\n" in text


def test_a_change_says_what_it_was_and_what_it_is() -> None:
    text = as_text(EVERY[1])
    now, was = text.split("It was:")
    assert "It is now:\n  When: Fri 4 Dec 2026, 14:30 to 16:30\n" in now
    assert "Bike: your own bike" in now
    assert was.startswith("\n  When: Thu 3 Dec 2026, 14:30 to 16:30\n  Bike: Bike 1\n\n")


def test_only_what_differs_is_said_to_have_been_otherwise() -> None:
    assert what_changed(PLACE, LATER, LONDON) == {
        "When": "Thu 3 Dec 2026, 14:30 to 16:30",
        "Bike": "Bike 1",
    }


@pytest.mark.parametrize(
    ("why", "late", "sentence"),
    [
        (GivenUpFor.STUDENT, False, "Your place is given up, as you wished."),
        (
            GivenUpFor.STUDENT,
            True,
            "Your place is given up, as you wished. That is less than 48 hours before it starts, "
            "so it counts as late.",
        ),
        (GivenUpFor.SCHOOL, False, "Saltmarsh Rider School has had to cancel this"),
        (GivenUpFor.WEATHER, False, "since the weather does not allow riding."),
        (None, False, "Your place is cancelled."),
    ],
)
def test_a_cancellation_says_why(why: GivenUpFor | None, late: bool, sentence: str) -> None:
    text = as_text(letters.cancellation(SCHOOL, "Lena", PLACE, why, late=late))
    assert sentence in text
    assert ("late" in text) is late
    assert "Ring the school on 01632 960100 to find another time." in text


def test_an_offer_says_until_when_and_how_to_take_it() -> None:
    text = as_text(EVERY[4])
    assert "holds it for you until Tue 1 Dec 2026, 17:00." in text
    assert "Ring the school on 01632 960100 before then to take it" in text


def test_a_course_is_told_in_one_letter() -> None:
    letter = EVERY[5]
    assert letter.subject == "Booked: Four mornings, 2 sessions from Thu 3 Dec 2026"
    assert "Session 1 of 2:\n" in as_text(letter)
    assert "Session 2 of 2:\n  When: Fri 4 Dec 2026" in as_text(letter)


@pytest.mark.parametrize(
    ("phone", "email", "reach"),
    [
        ("01632 960100", "", "Ring the school on 01632 960100"),
        ("", "desk@example.org", "Write to desk@example.org"),
        ("", "", "Tell the school"),
    ],
)
def test_a_school_is_reached_however_it_can_be(phone: str, email: str, reach: str) -> None:
    assert replace(SCHOOL, phone=phone, email=email).reach == reach


def test_a_school_that_says_nothing_of_clothes_has_no_empty_heading() -> None:
    quiet = replace(SCHOOL, bring_and_wear="")
    assert "What to bring" not in as_text(letters.reminder(quiet, "Lena", PLACE))


def test_a_school_without_a_notice_rule_asks_to_be_told_soon() -> None:
    text = as_text(letters.confirmation(replace(SCHOOL, notice_hours=0), "Lena", PLACE))
    assert "tell the school as soon as you know" in text


def test_an_appointment_survives_being_kept_as_plain_values() -> None:
    assert appointment_from(PLACE.plain()) == PLACE
    assert appointment_from(LATER.plain()) == LATER


def test_a_yard_with_another_name_is_the_same_yard() -> None:
    assert PLACE.same_as(replace(PLACE, yard="North yard", instructor="I. Heron", bike="No. 1"))
    for change in ({"yard_id": 2}, {"instructor_id": 2}, {"bike_id": None}):
        assert not PLACE.same_as(replace(PLACE, **change))
    assert not PLACE.same_as(LATER)


@pytest.mark.parametrize(
    ("starts_at", "hour", "due"),
    [
        # The clock goes back on 25 Oct 2026 and forward on 29 Mar 2026 (GOV.UK, "When do the
        # clocks change?": the last Sundays of October and March).
        (datetime(2026, 10, 26, 9, tzinfo=UTC), 10, datetime(2026, 10, 25, 10, tzinfo=UTC)),
        (datetime(2026, 10, 25, 9, tzinfo=UTC), 10, datetime(2026, 10, 24, 9, tzinfo=UTC)),
        (datetime(2026, 10, 26, 9, tzinfo=UTC), 1, datetime(2026, 10, 25, 0, tzinfo=UTC)),
        (datetime(2026, 3, 29, 8, tzinfo=UTC), 10, datetime(2026, 3, 28, 10, tzinfo=UTC)),
        (datetime(2026, 3, 30, 8, tzinfo=UTC), 10, datetime(2026, 3, 29, 9, tzinfo=UTC)),
        (datetime(2026, 3, 30, 8, tzinfo=UTC), 1, datetime(2026, 3, 29, 1, tzinfo=UTC)),
        (datetime(2028, 3, 1, 9, tzinfo=UTC), 10, datetime(2028, 2, 29, 10, tzinfo=UTC)),
        (datetime(2026, 6, 30, 23, 30, tzinfo=UTC), 10, datetime(2026, 6, 30, 9, tzinfo=UTC)),
    ],
)
def test_a_reminder_is_due_from_an_hour_of_the_day_before_at_the_school(
    starts_at: datetime, hour: int, due: datetime
) -> None:
    assert reminder_from(starts_at, hour, LONDON) == due


SOON = PLACE.starts_at - timedelta(hours=20)


@pytest.mark.parametrize(
    ("kind", "state", "reason"),
    [
        (MessageKind.CONFIRMATION, BookingState.BOOKED, None),
        (MessageKind.CONFIRMATION, BookingState.CANCELLED, "was cancelled before"),
        (MessageKind.REMINDER, BookingState.CANCELLED, "was cancelled before"),
        (MessageKind.CANCELLATION, BookingState.CANCELLED, None),
        (MessageKind.CANCELLATION, BookingState.BOOKED, "is not cancelled"),
        (MessageKind.OFFER, BookingState.HELD, None),
        (MessageKind.OFFER, BookingState.BOOKED, "was booked before"),
        (MessageKind.OFFER, BookingState.CANCELLED, "was cancelled before"),
    ],
)
def test_a_letter_holds_while_its_booking_stands_so(
    kind: MessageKind, state: BookingState, reason: str | None
) -> None:
    held_until = SOON + timedelta(hours=1) if state is BookingState.HELD else None
    found = why_not_so(kind, state, PLACE, PLACE, held_until, SOON)
    assert found == reason if reason is None else reason in (found or "")


def test_no_letter_holds_that_says_what_was_before_a_change() -> None:
    for kind in (MessageKind.CONFIRMATION, MessageKind.CHANGE, MessageKind.REMINDER):
        found = why_not_so(kind, BookingState.BOOKED, PLACE, LATER, None, SOON)
        assert found == "The booking changed before this was sent."


def test_no_letter_holds_once_the_session_has_begun() -> None:
    for kind in MessageKind:
        found = why_not_so(kind, BookingState.BOOKED, PLACE, PLACE, None, PLACE.starts_at)
        assert found == "The session had begun before this could be sent."


def test_an_offer_holds_until_the_place_is_held_no_more() -> None:
    for later, reason in ((59, None), (60, "no longer held")):
        now = SOON + timedelta(minutes=later)
        until = SOON + timedelta(minutes=60)
        found = why_not_so(MessageKind.OFFER, BookingState.HELD, PLACE, PLACE, until, now)
        assert found is None if reason is None else reason in (found or "")


@given(st.text())
def test_a_line_for_a_header_is_one_short_line(text: str) -> None:
    line = one_line(text)
    assert len(line) <= MOST_SUBJECT
    assert line.splitlines() in ([], [line])
    assert line == line.strip()
    assert one_line(line) == line


def test_names_in_any_script_stay_as_they_are() -> None:
    for name in ("Zoë Ångström", "محمد", "می‌خواهم", "陳大文", "Nguyễn Thị Ánh", "X"):
        assert as_text(letters.reminder(SCHOOL, name, PLACE)).startswith(f"Hello {name},\n")
