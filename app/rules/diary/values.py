"""The words of the diary."""

from __future__ import annotations

from enum import StrEnum


class SessionKind(StrEnum):
    """What a session is for."""

    MODULE_1 = "module_1"
    CBT = "cbt"
    FIRST_RIDE = "first_ride"
    MOCK_TEST = "mock_test"


class BookingState(StrEnum):
    """Where a booking stands."""

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


HELD_STATES = (BookingState.BOOKED, BookingState.ATTENDED)
"""The states in which a booking takes up its place, its bike and its student."""
