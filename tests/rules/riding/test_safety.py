"""What is looked at before riding, and the words of what happened."""

from __future__ import annotations

import pytest

from app.rules.diary.values import SessionKind, Surface
from app.rules.diary.words import conditions
from app.rules.riding.safety import (
    RADIOS,
    IncidentKind,
    at_once,
    checks,
    defect_words,
    letter,
)
from app.rules.yards.area import YardFacts, riders_at_once

# 80 ft by 30 ft, the official least site for two (conditions of appointment).
FOR_TWO = riders_at_once(YardFacts(24.4, 9.2))


def test_the_site_for_two_lets_two_ride_and_the_others_wait() -> None:
    assert at_once(FOR_TWO, 2) == "At most 2 riders at once, as many as this site has room for."
    assert at_once(FOR_TWO, 4) == (
        "At most 2 riders at once, as many as this site has room for. "
        "4 are booked, so they take turns."
    )


@pytest.mark.parametrize(
    ("kind", "road"),
    [(SessionKind.CBT, True), (SessionKind.MODULE_1, False), (SessionKind.MOCK_TEST, False)],
)
def test_radios_are_asked_for_where_the_session_goes_on_the_road(
    kind: SessionKind, road: bool
) -> None:
    assert (RADIOS in checks(kind, FOR_TWO, 2)) is road


def test_the_checks_speak_of_site_surface_clothing_bikes_and_help() -> None:
    said = " ".join(checks(SessionKind.MODULE_1, FOR_TWO, 2)).lower()
    for word in ("site", "surface", "hi-vis", "bike", "first aid", "emergency contact", "at once"):
        assert word in said


def test_defects_are_said_in_one_order_with_the_note_behind() -> None:
    assert defect_words(["Chain", "Brakes"], " lever to the bar ") == (
        "Brakes, Chain: lever to the bar"
    )
    assert defect_words([], "rattles") == "rattles"
    assert defect_words(["made up"], "  ") == ""


def test_conditions_are_said_in_a_row() -> None:
    assert conditions(Surface.DAMP, True, "leaves by the gate") == "damp, windy, leaves by the gate"
    assert conditions(None, None) == ""


def test_the_letter_says_what_and_where_and_leaves_out_who_it_was() -> None:
    subject, body = letter(IncidentKind.INJURY, "Long yard", "Thu 26 Nov 2026, 09:00", "Ines Heron")
    assert subject == "Someone is hurt: Long yard, Thu 26 Nov 2026, 09:00"
    assert "Ines Heron has recorded" in body
    assert "office" in body
