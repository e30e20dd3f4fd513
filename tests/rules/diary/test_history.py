"""The history of bookings in words."""

from __future__ import annotations

from typing import Any

import pytest

from app.rules.diary.history import ACTIONS, Names, history_words, numbers_in, who_words
from app.rules.diary.values import BookingState, GivenUpFor

NAMES = Names(bikes={1: "Bike 1", 2: "Bike 2"}, sessions={5: "Fri 27 Nov 2026, 09:00"})


@pytest.mark.parametrize(
    ("subject", "action", "details", "words"),
    [
        (
            "bookings",
            "booked",
            {"bike": 1, "in_session": 5, "student": 3},
            "Booked the place: Bike 1",
        ),
        ("bookings", "booked", {"bike": None}, "Booked the place: own bike"),
        ("bookings", "changed", {"bike": [1, None]}, "Changed the bike: own bike (was Bike 1)"),
        ("bookings", "changed", {"bike": [9, 2]}, "Changed the bike: Bike 2 (was bike 9)"),
        ("bookings", "cancelled", {"late": True}, "Cancelled the booking: late"),
        ("bookings", "cancelled", {"late": False}, "Cancelled the booking"),
        (
            "bookings",
            "cancelled",
            {"with_session": True},
            "Cancelled the booking: with the whole session",
        ),
        (
            "bookings",
            "cancelled",
            {"late": True, "given_up_for": "student"},
            "Cancelled the booking: the student asked for it, late",
        ),
        ("bookings", "marked no_show", {}, "Marked as not here"),
        (
            "bookings",
            "moved",
            {"in_session": [4, 5], "late": False},
            "Moved the booking: Fri 27 Nov 2026, 09:00 (was session 4)",
        ),
        (
            "students",
            "chose messages",
            {"unwanted": []},
            "Chose which emails the student gets: all of them",
        ),
        (
            "students",
            "chose messages",
            {"unwanted": ["reminder"]},
            "Chose which emails the student gets: not reminder",
        ),
        (
            "training_sessions",
            "changed",
            {"fields": ["ends_at", "places", "yard_id"]},
            "Changed the session: end, places, yard",
        ),
        (
            "training_sessions",
            "said conditions",
            {"surface": ["dry", None], "windy": [None, True]},
            "Noted how it was in the yard: no word on the ground (was dry), "
            "windy (was no word on the wind)",
        ),
        ("waiting", "waits", {"student": 3}, "Put on the waiting list"),
        ("courses", "booked", {"student": 3, "sessions": 3}, "Booked a course: 3 sessions"),
        (
            "students",
            "merged",
            {"record": 9, "moved": ["2 bookings", "1 ride"]},
            "Took another record of the same person in: 2 bookings, 1 ride, record 9",
        ),
    ],
)
def test_an_entry_in_words(subject: str, action: str, details: dict[str, Any], words: str) -> None:
    assert history_words(subject, action, details, NAMES) == words


def test_what_no_person_did_was_done_by_the_program() -> None:
    assert who_words("Dev Rook", "10.0.0.7") == "Dev Rook"
    assert who_words(None, "command send") == "Yardmark"
    assert who_words(None, "10.0.0.7") == "10.0.0.7"


def test_what_a_later_release_records_is_said_as_it_stands() -> None:
    said = history_words("bookings", "folded away", {"unheard_of": 3}, NAMES)
    assert said == "Folded away"


@pytest.mark.parametrize("state", [BookingState.ATTENDED, BookingState.NO_SHOW])
def test_both_marks_have_words(state: BookingState) -> None:
    assert f"marked {state}" in ACTIONS["bookings"]


@pytest.mark.parametrize("reason", list(GivenUpFor))
def test_every_reason_for_giving_up_is_said(reason: GivenUpFor) -> None:
    said = history_words("bookings", "cancelled", {"given_up_for": reason.value}, NAMES)
    assert said != "Cancelled the booking"


def test_the_numbers_in_details_are_found_singly_and_in_pairs() -> None:
    assert numbers_in({"bike": [1, None], "late": True}, "bikes") == {1}
    assert numbers_in({"in_session": 5}, "sessions") == {5}
    assert numbers_in({"in_session": [4, 5]}, "sessions") == {4, 5}
    assert numbers_in({}, "bikes") == set()
