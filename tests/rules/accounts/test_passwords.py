"""What a password must be."""

from __future__ import annotations

import pytest

from app.rules.accounts.passwords import LONGEST, faults, normalised

WHO = {"email": "lena.wren@example.org", "name": "Lena Wren"}


def sentence(password: str) -> str:
    return " ".join(reason.sentence for reason in faults(password, **WHO))


def test_four_words_of_ones_own_do() -> None:
    assert faults("copper kettle winter lane", **WHO) == ()


@pytest.mark.parametrize("password", ["", "short", "fourteen signs", "   twelve signs   "])
def test_a_short_one_is_refused_whatever_signs_it_has(password: str) -> None:
    assert "at least 15" in sentence(password)


def test_fifteen_are_enough_and_no_kind_of_sign_is_asked_for() -> None:
    assert sentence("brambleandsorre") == ""


def test_a_long_sentence_is_allowed_up_to_the_limit() -> None:
    words = "larch ferry tansy quoin " * 20
    assert sentence(words[: LONGEST - 1]) == ""
    assert "at most 256" in sentence(words[: LONGEST + 5])


def test_a_letter_made_of_two_signs_counts_once() -> None:
    combined = "e\u0301" * 14
    assert len(normalised(combined)) == 14
    assert "at least 15" in sentence(combined)


@pytest.mark.parametrize(
    "password",
    [
        "password password",
        "Password1234567",
        "letmein-letmein-letmein",
        "1234567890123456",
        "aaaaaaaaaaaaaaaaaaaa",
        "abababababababab",
        "correct horse battery staple",
        "qwertyuiop12345",
    ],
)
def test_what_everyone_types_is_refused(password: str) -> None:
    assert "Too many people" in sentence(password)


@pytest.mark.parametrize(
    "password",
    ["lena.wren@example.org", "Lena Wren Lena Wren", "lenawren1234567", "wren-lena-wren-99"],
)
def test_ones_own_name_and_email_are_refused(password: str) -> None:
    assert "your own name" in sentence(password)


def test_ones_name_among_other_words_is_allowed() -> None:
    assert sentence("lena keeps seven geese") == ""


def test_every_refusal_stands_beside_the_password() -> None:
    assert {reason.field for reason in faults("short", **WHO)} == {"password"}
