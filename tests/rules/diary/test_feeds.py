"""What a calendar outside the school is told."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.diary.clock import day_of
from app.rules.diary.feeds import (
    EventStatus,
    FeedPlace,
    FeedRider,
    FeedSession,
    booking_uid,
    one_line,
    plain_text,
    session_uid,
    short_name,
    staff_event,
    student_event,
    window,
)
from app.rules.diary.values import BookingState, SessionKind
from app.rules.settings import SchoolSettings
from tests.support.clock import LONDON, START

KEY = "6f1f1c1e-5d0b-4a3e-9c55-a0f0c2b7d111"
SCHOOL = SchoolSettings(
    school_name="Saltmarsh Rider School",
    calendar_key=KEY,
    bring_and_wear="Bring gloves.",
    school_phone="01632 960100",
)
PLACE = FeedPlace(
    booking_id=7,
    version=1,
    state=BookingState.BOOKED,
    held_until=None,
    kind=SessionKind.MODULE_1,
    starts_at=START,
    ends_at=START + timedelta(hours=2),
    instructor="Ines Heron",
    yard="Long yard",
    bike="Bike 1",
    changed_at=START - timedelta(days=1),
)
SESSION = FeedSession(
    session_id=7,
    version=3,
    cancelled=False,
    kind=SessionKind.CBT,
    starts_at=START,
    ends_at=START + timedelta(hours=2),
    instructor="Ines Heron",
    yard="Long yard",
    places=4,
    riders=(FeedRider("Lena Wren", "Bike 1", held=False), FeedRider("Stan", None, held=True)),
    changed_at=START,
)
HELD = replace(PLACE, state=BookingState.HELD, held_until=START + timedelta(hours=4), version=2)


def test_a_students_event_says_where_with_whom_on_what_and_what_to_bring() -> None:
    event = student_event(PLACE, SCHOOL, START, LONDON)
    assert event.status is EventStatus.CONFIRMED
    assert event.summary == "Module 1 training, Saltmarsh Rider School"
    assert event.location == "Long yard, Saltmarsh Rider School"
    assert event.description == (
        "With Ines Heron in Long yard, on Bike 1.\nBring gloves.\n"
        "The school’s telephone: 01632 960100"
    )


def test_without_a_bike_of_the_school_they_bring_their_own() -> None:
    event = student_event(replace(PLACE, bike=None), SCHOOL, START, LONDON)
    assert "on your own bike." in event.description


def test_a_held_place_is_tentative_and_says_until_when() -> None:
    event = student_event(HELD, SCHOOL, START, LONDON)
    assert (event.status, event.sequence) == (EventStatus.TENTATIVE, 1)
    assert event.summary.startswith("Held for you: ")
    assert "held for you until Thu 26 Nov 2026, 13:00 and is not booked yet" in event.description


def test_a_hold_whose_time_is_over_is_cancelled_with_the_number_that_it_will_have() -> None:
    over = START + timedelta(hours=4)
    event = student_event(HELD, SCHOOL, over, LONDON)
    assert (event.status, event.sequence) == (EventStatus.CANCELLED, 2)
    assert event.changed_at == over
    written = replace(HELD, state=BookingState.CANCELLED, held_until=None, version=3)
    assert student_event(written, SCHOOL, over, LONDON).sequence == event.sequence


def test_a_cancelled_place_says_so_and_no_more() -> None:
    event = student_event(
        replace(PLACE, state=BookingState.CANCELLED, version=2), SCHOOL, START, LONDON
    )
    assert event.status is EventStatus.CANCELLED
    assert event.summary.startswith("Cancelled: ")
    assert "gloves" not in event.description


@pytest.mark.parametrize("state", list(BookingState))
def test_every_state_has_a_status(state: BookingState) -> None:
    assert student_event(replace(PLACE, state=state), SCHOOL, START, LONDON).status


def test_a_moved_booking_is_the_same_event_with_a_higher_number() -> None:
    before = student_event(PLACE, SCHOOL, START, LONDON)
    later = START + timedelta(days=3)
    moved = replace(PLACE, starts_at=later, ends_at=later + timedelta(hours=2), version=2)
    after = student_event(moved, SCHOOL, START, LONDON)
    assert after.uid == before.uid
    assert after.sequence > before.sequence


def test_uids_differ_between_records_and_between_schools() -> None:
    other = "0b0f6ad2-6f3b-4c1e-9a55-1f6a3f1f8a10"
    uids = [f(key, n) for f in (booking_uid, session_uid) for key in (KEY, other) for n in (1, 2)]
    assert len({UUID(uid) for uid in uids}) == len(uids)


def test_a_session_tells_the_instructor_who_comes_by_first_name_and_initial() -> None:
    event = staff_event(SESSION, KEY, whose=False)
    assert (event.summary, event.sequence) == ("CBT, 2 of 4", 2)
    assert event.description == "Lena W., Bike 1\nStan, own bike, held"
    assert "Wren" not in str(event)


def test_the_schools_calendar_says_whose_session_it_is() -> None:
    event = staff_event(SESSION, KEY, whose=True)
    assert event.summary == "CBT with Ines Heron, 2 of 4"
    assert event.uid == staff_event(SESSION, KEY, whose=False).uid


def test_an_empty_and_a_cancelled_session() -> None:
    empty = staff_event(replace(SESSION, riders=()), KEY, whose=False)
    assert empty.description == "Nobody is booked yet."
    gone = staff_event(replace(SESSION, cancelled=True, version=4), KEY, whose=False)
    assert (gone.status, gone.sequence) == (EventStatus.CANCELLED, 3)
    assert gone.summary == "Cancelled: CBT"
    assert "Lena" not in gone.description


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Lena Wren", "Lena W."),
        ("Ana María de la Cruz", "Ana C."),
        ("Sukarno", "Sukarno"),
        ("  Мария   Иванова ", "Мария И."),
        ("Noor (Nono)", "Noor N."),
        ("Noor …", "Noor"),
        ("Zoe E\u0301mile", "Zoe E\u0301."),
        ("", ""),
    ],
)
def test_names_are_shortened_in_any_script(name: str, short: str) -> None:
    assert short_name(name) == short


@given(st.text(max_size=60))
def test_a_short_name_never_tells_the_last_name(name: str) -> None:
    words = name.split()
    short = short_name(name)
    if len(words) > 1 and len(words[-1]) > 4:
        assert words[-1] not in short.removeprefix(words[0])


def test_the_window_is_whole_days_of_the_school() -> None:
    begins, ends = window(datetime(2027, 3, 28, 12, tzinfo=UTC), LONDON)
    assert begins == datetime(2027, 2, 26, tzinfo=UTC)
    assert day_of(ends - timedelta(seconds=1), LONDON) == date(2028, 3, 27)
    assert window(START, LONDON) == window(START + timedelta(hours=12), LONDON)


def test_text_is_left_without_what_the_format_has_no_place_for() -> None:
    assert plain_text("a\r\nb\rc\x0bd\u2028e\x00\x07f\tg") == "a\nb\nc\nd\nef\tg"
    assert one_line(" a\r\n b\u2029c ") == "a b c"
