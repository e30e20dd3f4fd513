"""What is written down about a student, brought into the form in which it is kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import Any

from app.rules.people import seeking
from app.rules.people.students import StudentFacts, tidied, why_not_keep
from app.rules.refusal import Reason, Refused
from app.store.people import emails, phones

PHONES = ("phone", "emergency_phone", "guardian_phone")
MOST_PHONE = 40


def as_written(
    typed: StudentFacts, region: str, today: date, before: StudentFacts | None = None
) -> StudentFacts:
    """The facts as they are kept. ``before`` is what was on file: a number or address that
    stands there already is left as it is when it would not be taken today.

    Raises Refused with every reason against keeping them.
    """
    facts = tidied(typed)
    reasons = list(why_not_keep(facts, today))
    kept: dict[str, Any] = {}
    for field, value in _contacts(facts):
        try:
            kept[field] = _written(field, value, region)
        except Refused as refused:
            if before is None or getattr(before, field) != value:
                reasons += refused.reasons
    if reasons:
        raise Refused(*dict.fromkeys(reasons))
    return replace(facts, **kept)


def _contacts(facts: StudentFacts) -> Iterator[tuple[str, str]]:
    for field in (*PHONES, "email"):
        value = getattr(facts, field)
        if value:
            yield field, value


def _written(field: str, value: str, region: str) -> str:
    if field == "email":
        return emails.written(value)
    if len(value) > MOST_PHONE:
        raise Refused(Reason(f"Use at most {MOST_PHONE} characters. This has {len(value)}.", field))
    return phones.written(value, region, field)


@lru_cache(maxsize=1024)
def sought(name: str, phone: str | None, email: str | None, region: str) -> str:
    """What a student is found by, with the phone as dialled here and from abroad."""
    return seeking.sought(name, phones.numbers(phone, region), email)
