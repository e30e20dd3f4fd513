"""What must be so about a student before it is kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from app.rules.categories import Category
from app.rules.people.phones import why_not_phone
from app.rules.people.students import StudentFacts, why_not_keep

TODAY = date(2026, 11, 26)
GOOD = StudentFacts("Ada Finch", Category.A2, phone="01632 960123")


@pytest.mark.parametrize("name", ["Ada", "O", "Ngũgĩ wa Thiong’o", "王小明", "Ada-Maria d’Arc 3rd"])
def test_a_name_may_be_in_any_script_and_of_one_word(name: str) -> None:
    assert why_not_keep(replace(GOOD, name=name), TODAY) == ()


@pytest.mark.parametrize(
    ("change", "field", "sentence"),
    [
        ({"name": ""}, "name", "Write the name."),
        ({"name": "123 –"}, "name", "Write the name."),
        ({"name": "x" * 121}, "name", "Use at most 120 characters. This has 121."),
        ({"phone": None}, "phone", "Write a phone number or an email"),
        ({"phone": "ring the shop"}, "phone", "Write the phone number in digits"),
        ({"emergency_phone": "12"}, "emergency_phone", "6 to 15 digits"),
        ({"date_of_birth": date(2026, 11, 27)}, "date_of_birth", "still to come"),
        ({"date_of_birth": date(2016, 1, 1)}, "date_of_birth", "10 years old. Check the year."),
        ({"date_of_birth": date(1890, 1, 1)}, "date_of_birth", "136 years old. Check the year."),
        ({"guardian_name": "Joss Finch"}, "guardian_phone", "Write the guardian's phone"),
        ({"guardian_phone": "01632 960124"}, "guardian_name", "Write whose number this is."),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    change: dict[str, Any], field: str, sentence: str
) -> None:
    (reason,) = why_not_keep(replace(GOOD, **change), TODAY)
    assert reason.field == field
    assert sentence in reason.sentence


def test_an_email_alone_is_enough_to_be_reached() -> None:
    assert why_not_keep(replace(GOOD, phone=None, email="ada@example.org"), TODAY) == ()


@pytest.mark.parametrize(
    "phone", ["01632 960123", "+44 (0)1632 960-123", "01632.960.123", "999999"]
)
def test_a_phone_number_is_taken_as_people_write_it(phone: str) -> None:
    assert why_not_phone(phone) is None


@pytest.mark.parametrize("phone", ["12345", "1" * 16, "01632+960123", "+"])
def test_a_phone_number_has_digits_and_not_too_many(phone: str) -> None:
    assert why_not_phone(phone)
