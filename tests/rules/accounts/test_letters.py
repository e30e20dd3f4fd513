"""The messages that carry a link."""

from __future__ import annotations

import pytest

from app.rules.accounts.letters import letter
from app.rules.accounts.links import LinkPurpose, lifetime_words


@pytest.mark.parametrize("purpose", LinkPurpose)
def test_a_letter_names_the_person_the_school_the_link_and_how_long_it_works(
    purpose: LinkPurpose,
) -> None:
    written = letter(purpose, "Saltmarsh", "Lena Wren", "https://school.example/link/abc")
    assert "Saltmarsh" in written.subject
    for words in ("Lena Wren", "https://school.example/link/abc", lifetime_words(purpose)):
        assert words in written.body


def test_lifetimes_are_said_in_days_or_hours() -> None:
    assert lifetime_words(LinkPurpose.INVITATION) == "7 days"
    assert lifetime_words(LinkPurpose.RESET) == "1 hour"
