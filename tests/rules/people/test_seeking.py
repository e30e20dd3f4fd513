"""Finding a person by a few letters."""

from __future__ import annotations

import pytest

from app.rules.people.seeking import sought, wanted

KEPT = sought("Zoë Ångström-Quill", "01632 960 123", "Zoe.Q@Example.org")


@pytest.mark.parametrize(
    "typed",
    [
        "zoe",
        "ZOË",
        "ang",
        "quill",
        "quill zoe",
        "960123",
        "960 123",
        "(01632) 960",
        "q@exam",
        "zoe.q",
    ],
)
def test_a_person_is_found_by(typed: str) -> None:
    assert all(piece in KEPT for piece in wanted(typed))


@pytest.mark.parametrize("typed", ["zoa", "quill ada", "960124", "zoe 999"])
def test_a_person_is_not_found_by(typed: str) -> None:
    assert not all(piece in KEPT for piece in wanted(typed))


def test_nothing_typed_wants_nothing() -> None:
    assert wanted("  ") == ()


def test_what_cannot_be_printed_is_not_searched_for() -> None:
    assert wanted("zo\x00e") == ("zoe",)


def test_letters_of_the_name_and_of_the_email_do_not_run_together() -> None:
    assert "finch01632" not in sought("Ada Finch", "01632 960123", None)
