"""Telephone numbers as people write them."""

from __future__ import annotations

import pytest

from app.rules.people.phones import apart, digits, why_not_phone


@pytest.mark.parametrize(
    "phone",
    ["01632 960123", "(01632) 960-123", "+44 1632 960123", "01632/960123", "01632–960123",
     "٠١٦٣٢ ٩٦٠١٢٣", "01632 960123 ext. 45", "01632960123x45", "01632 960123 #45"],
)  # fmt: skip
def test_this_can_be_a_number(phone: str) -> None:
    assert why_not_phone(phone) is None
    assert "1632960123" in digits(phone)


@pytest.mark.parametrize(
    ("phone", "words"),
    [
        ("call me", "in digits"),
        ("0800 CONES", "in digits"),
        ("01632 960123 or 960124", "in digits"),
        ("x45", "in digits"),
        ("", "6 to 15 digits"),
        ("12345", "6 to 15 digits"),
        ("+", "6 to 15 digits"),
        ("1" * 16, "6 to 15 digits"),
    ],
)
def test_this_cannot(phone: str, words: str) -> None:
    assert words in (why_not_phone(phone) or "")


@pytest.mark.parametrize("sign", [" x", " ext. ", ",ext ", ";ext=", "#", " Extension "])
def test_an_extension_is_told_from_its_number(sign: str) -> None:
    assert apart(f"01632 960123{sign}45") == ("01632 960123", "45")
    assert digits(f"01632 960123{sign}45") == "01632960123"
