"""Whatever is recorded about a booking can be read out at the desk in words."""

from __future__ import annotations

import re

from app.rules.diary.history import ACTIONS, DETAILS
from tests.architecture.recorded import ANY, recorded

TOLD = tuple(one for one in recorded() if one.subject in ACTIONS)


def _has_words(subject: str, action: str) -> bool:
    pattern = re.escape(action).replace(re.escape(ANY), ".+")
    return any(re.fullmatch(pattern, known) for known in ACTIONS[subject])


def test_every_action_is_read_out_of_the_code() -> None:
    """Else this test would pass over it: write the action out, or hand it over as a word."""
    unread = [one.where for one in TOLD if not one.actions]
    assert not unread, f"audit.record with an action that cannot be read: {unread}"


def test_every_action_has_words() -> None:
    missing = [
        f"{one.where}: ({one.subject!r}, {action!r})"
        for one in TOLD
        for action in one.actions
        if not _has_words(one.subject, action)
    ]
    assert not missing, "\n".join(["app/rules/diary/history.py, ACTIONS lacks:", *missing])


def test_every_detail_has_words() -> None:
    missing = sorted(
        f"{one.where}: {name!r}" for one in TOLD for name in one.details if name not in DETAILS
    )
    assert not missing, "\n".join(["app/rules/diary/history.py, DETAILS lacks:", *missing])


def test_the_actions_that_there_are_have_been_found() -> None:
    """What the diary has always recorded, so that the reading of the code is known to work."""
    found = {(one.subject, action) for one in TOLD for action in one.actions}
    assert {
        ("bookings", "booked"),
        ("bookings", f"marked {ANY}"),
        ("training_sessions", "made"),
        ("training_sessions", "said conditions"),
        ("calendar_feeds", "revoked address"),
    } <= found
