"""The words of the diary."""

from __future__ import annotations

from enum import StrEnum


class SessionKind(StrEnum):
    """What a session is for."""

    MODULE_1 = "module_1"
    CBT = "cbt"
    FIRST_RIDE = "first_ride"
    MOCK_TEST = "mock_test"
    ROAD = "road"


class BookingState(StrEnum):
    """Where a booking stands. A place that is held is nobody's any more once its time is over."""

    HELD = "held"
    BOOKED = "booked"
    ATTENDED = "attended"
    NO_SHOW = "no_show"
    CANCELLED = "cancelled"


class Surface(StrEnum):
    """How the ground was on the day."""

    DRY = "dry"
    DAMP = "damp"
    WET = "wet"


class TestModule(StrEnum):
    """The two halves of the practical test."""

    __test__ = False  # not a test case, whatever a test runner makes of the name

    MODULE_1 = "module_1"
    MODULE_2 = "module_2"


class TestResult(StrEnum):
    """What the examiner decided."""

    __test__ = False

    PASS = "pass"  # noqa: S105 (a result, not a secret)
    FAIL = "fail"


class GivenUpFor(StrEnum):
    """Why a place was given up. Only a student's own wish can be late."""

    STUDENT = "student"
    SCHOOL = "school"
    WEATHER = "weather"
    HOLD_OVER = "hold_over"
    MERGED = "merged"


class WaitingState(StrEnum):
    """Where somebody on the waiting list stands."""

    WAITING = "waiting"
    OFFERED = "offered"
    PLACED = "placed"
    WITHDRAWN = "withdrawn"
    OVER = "over"


class OfferState(StrEnum):
    """What became of a place that was offered to somebody who waits."""

    OPEN = "open"
    TAKEN = "taken"
    DECLINED = "declined"
    LAPSED = "lapsed"


HELD_STATES = (BookingState.BOOKED, BookingState.ATTENDED)
"""The states in which a student is in a session for certain."""

TAKING_STATES = (BookingState.HELD, *HELD_STATES)
"""The states in which a booking takes up its place, its bike and its student."""

TO_COME_STATES = (BookingState.HELD, BookingState.BOOKED)
"""The states in which a student is still expected, so that the booking can be cancelled."""

ON_THE_LIST = (WaitingState.WAITING, WaitingState.OFFERED)
"""The states in which somebody is on the waiting list still."""
