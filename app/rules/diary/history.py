"""The history of bookings in words: what was done, as the desk reads it out.

Every action that is recorded for one of these subjects stands here, and every
detail of it; a test reads them out of the code and names what has no words.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from app.rules.diary.values import GivenUpFor
from app.rules.words import count_words

ACTIONS: Mapping[str, Mapping[str, str]] = {
    "bookings": {
        "booked": "Booked the place",
        "changed": "Changed the bike",
        "cancelled": "Cancelled the booking",
        "confirmed": "Booked the place that was held",
        "held": "Held the place",
        "hold ended": "The time of the hold was over",
        "let go": "Let go the place that was held",
        "moved": "Moved the booking",
        "marked attended": "Marked as here",
        "marked no_show": "Marked as not here",
        "attended": "Marked as here with the first ride",
    },
    "training_sessions": {
        "made": "Made the session",
        "changed": "Changed the session",
        "cancelled": "Cancelled the session",
        "confirmed safety": "Did the safety check",
        "said conditions": "Noted how it was in the yard",
    },
    "students": {
        "added": "Put the student on file",
        "changed": "Changed the student’s record",
        "chose messages": "Chose which emails the student gets",
        "invited": "Invited the student to sign in",
        "merged": "Took another record of the same person in",
        "merged into": "Became part of another record of the same person",
    },
    "waiting": {
        "waits": "Put on the waiting list",
        "waiting": "Waits again",
        "offered": "Offered a place that came free",
        "placed": "Found a place, so waits no more",
        "withdrawn": "Taken off the waiting list",
        "over": "Waited to the last day without a place",
    },
    "courses": {
        "booked": "Booked a course",
    },
    "offers": {},
    "calendar_feeds": {
        "made address": "Made a calendar address",
        "revoked address": "Ended the calendar address",
    },
}
"""For each subject the actions that are recorded, each as the start of a sentence."""


@dataclass(frozen=True, slots=True)
class Names:
    """What the records behind the numbers in an entry are called."""

    bikes: Mapping[int, str] = field(default_factory=dict)
    sessions: Mapping[int, str] = field(default_factory=dict)


Words = Callable[[Any, Names], str]


def _nothing(_value: Any, _names: Names) -> str:
    """For a detail that the page shows in another place."""
    return ""


def _shift(value: Any, one: Callable[[Any], str]) -> str:
    """A value, or a pair of what it was and what it became."""
    if isinstance(value, list) and len(value) == 2:
        return f"{one(value[1])} (was {one(value[0])})"
    return one(value)


def _bike(value: Any, names: Names) -> str:
    def one(number: Any) -> str:
        return "own bike" if number is None else names.bikes.get(number, f"bike {number}")

    return _shift(value, one)


def _session(value: Any, names: Names) -> str:
    """The sessions of a move; a booking that stays where it is has its session beside it."""
    if not isinstance(value, list):
        return ""
    return _shift(value, lambda number: names.sessions.get(number, f"session {number}"))


def _fields(value: Any, _names: Names) -> str:
    return ", ".join(FIELDS.get(name, name.replace("_", " ")) for name in value)


def _when(yes: str, no: str = "") -> Words:
    return lambda value, _names: yes if value else no


def _unwanted(value: Any, _names: Names) -> str:
    return f"not {', '.join(value)}" if value else "all of them"


_REASONS = {
    GivenUpFor.STUDENT: "the student asked for it",
    GivenUpFor.SCHOOL: "the school had to",
    GivenUpFor.WEATHER: "for the weather",
    GivenUpFor.HOLD_OVER: "the hold was over",
    GivenUpFor.MERGED: "two records became one",
}

_WIND = {True: "windy", False: "no wind", None: "no word on the wind"}

FIELDS: Mapping[str, str] = {
    "yard_id": "yard",
    "instructor_id": "instructor",
    "starts_at": "start",
    "ends_at": "end",
    "sought": "",
}
"""Columns by other names than their own; nothing for one that follows from another."""

DETAILS: Mapping[str, Words] = {
    "bike": _bike,
    "fields": _fields,
    "given_up_for": lambda value, _names: _REASONS[GivenUpFor(value)],
    "in_session": _session,
    "instructor": _nothing,
    "late": _when("late"),
    "moved": lambda value, _names: ", ".join(value),
    "record": lambda value, _names: f"record {value}",
    "sessions": lambda value, _names: count_words(value, "session"),
    "student": _nothing,
    "surface": lambda value, _names: _shift(value, lambda one: one or "no word on the ground"),
    "unwanted": _unwanted,
    "windy": lambda value, _names: _shift(value, lambda one: _WIND[one]),
    "with_session": _when("with the whole session"),
}
"""How each detail of an entry is said."""


def action_words(subject: str, action: str) -> str:
    """What was done. An action of a later release is said as it is recorded."""
    return ACTIONS.get(subject, {}).get(action, action.capitalize())


def who_words(name: str | None, origin: str) -> str:
    """Whoever did it; what no person did, this program did by itself."""
    return name or ("Yardmark" if origin.startswith("command ") else origin)


def history_words(subject: str, action: str, details: Mapping[str, Any], names: Names) -> str:
    """``Changed the bike: Bike 2 (was Bike 1)``: an entry as a sentence without its end."""
    told = (DETAILS.get(name, _nothing)(value, names) for name, value in sorted(details.items()))
    said = ", ".join(words for words in told if words)
    return f"{action_words(subject, action)}{': ' if said else ''}{said}"


_NUMBERS = {"bikes": "bike", "sessions": "in_session"}


def numbers_in(details: Mapping[str, Any], kind: str) -> set[int]:
    """The records of a kind (a field of Names) that the details of an entry speak of."""
    value = details.get(_NUMBERS[kind])
    each = value if isinstance(value, list) else [value]
    return {one for one in each if isinstance(one, int)}
