"""How the words of the diary are said to people."""

from __future__ import annotations

from collections.abc import Mapping

from app.rules.diary.values import BookingState, SessionKind, Surface, TestModule

KINDS: Mapping[SessionKind, str] = {
    SessionKind.MODULE_1: "Module 1 training",
    SessionKind.CBT: "CBT",
    SessionKind.FIRST_RIDE: "First ride",
    SessionKind.MOCK_TEST: "Mock test",
    SessionKind.ROAD: "Road training",
}

STATES: Mapping[BookingState, str] = {
    BookingState.HELD: "held",
    BookingState.BOOKED: "booked",
    BookingState.ATTENDED: "here",
    BookingState.NO_SHOW: "not here",
    BookingState.CANCELLED: "cancelled",
}

MODULES: Mapping[TestModule, str] = {
    TestModule.MODULE_1: "Module 1",
    TestModule.MODULE_2: "Module 2",
}


def conditions(surface: Surface | None, windy: bool | None, remark: str = "") -> str:
    """``damp, windy, leaves``: how it was on the day; empty where nobody wrote it down."""
    said = (surface.value if surface else "", "windy" if windy else "", remark)
    return ", ".join(each for each in said if each)
