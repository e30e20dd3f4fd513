"""What must be so about a student before it is kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from app.rules.categories import Category
from app.rules.people.ages import age_on
from app.rules.people.names import tidy, tidy_text
from app.rules.people.phones import why_not_phone
from app.rules.refusal import Reason

YOUNGEST = 14
OLDEST = 100
"""Ages outside these are taken for a slip of the pen: nobody so young may ride on the road."""

MOST_NAME = 120
MOST_NOTES = 2000
_MOST = {"emergency_name": MOST_NAME, "guardian_name": MOST_NAME, "notes": MOST_NOTES}


@dataclass(frozen=True, slots=True)
class StudentFacts:
    """What the desk writes down about a student."""

    name: str
    category: Category
    phone: str | None = None
    email: str | None = None
    date_of_birth: date | None = None
    emergency_name: str | None = None
    emergency_phone: str | None = None
    guardian_name: str | None = None
    guardian_phone: str | None = None
    notes: str = ""


def tidied(student: StudentFacts) -> StudentFacts:
    """The same facts with every name as it is kept, and nothing hidden in any text."""
    return replace(
        student,
        name=tidy(student.name),
        emergency_name=tidy(student.emergency_name or "") or None,
        guardian_name=tidy(student.guardian_name or "") or None,
        notes=tidy_text(student.notes),
    )


def why_not_name(name: str) -> str | None:
    """Why this cannot be a person's name; None when it can. Any script, one word or many."""
    if not any(c.isalpha() for c in name):
        return "Write the name."
    if len(name) > MOST_NAME:
        return f"Use at most {MOST_NAME} characters. This has {len(name)}."
    return None


def why_not_born(born: date, today: date) -> str | None:
    """Why this cannot be a student's date of birth; None when it can."""
    if born > today:
        return "This day is still to come. Check the date of birth."
    age = age_on(born, today)
    if not YOUNGEST <= age <= OLDEST:
        return f"That makes the student {age} years old. Check the year."
    return None


def why_not_keep(student: StudentFacts, today: date) -> tuple[Reason, ...]:
    """Every reason against keeping a student as written down on ``today``."""
    return (*_identity(student, today), *_contacts(student))


def _identity(student: StudentFacts, today: date) -> Iterator[Reason]:
    if sentence := why_not_name(student.name):
        yield Reason(sentence, "name")
    if student.date_of_birth and (sentence := why_not_born(student.date_of_birth, today)):
        yield Reason(sentence, "date_of_birth")
    for field, most in _MOST.items():
        length = len(getattr(student, field) or "")
        if length > most:
            yield Reason(f"Use at most {most} characters. This has {length}.", field)


def _contacts(student: StudentFacts) -> Iterator[Reason]:
    if not student.phone and not student.email:
        yield Reason(
            "Write a phone number or an email, so that the school can reach them.", "phone"
        )
    numbers = {
        "phone": student.phone,
        "emergency_phone": student.emergency_phone,
        "guardian_phone": student.guardian_phone,
    }
    for field, number in numbers.items():
        if number and (sentence := why_not_phone(number)):
            yield Reason(sentence, field)
    if student.guardian_name and not student.guardian_phone:
        yield Reason("Write the guardian's phone number too.", "guardian_phone")
    if student.guardian_phone and not student.guardian_name:
        yield Reason("Write whose number this is.", "guardian_name")
