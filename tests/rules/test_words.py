"""Numbers and times in words."""

from __future__ import annotations

import pytest

from app.rules.words import duration_words


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (1, "1 minute"),
        (59, "59 minutes"),
        (60, "1 hour"),
        (90, "90 minutes"),
        (240, "4 hours"),
        (2880, "48 hours"),
    ],
)
def test_whole_hours_are_told_in_hours_and_all_else_in_minutes(minutes: int, words: str) -> None:
    assert duration_words(minutes) == words
