"""The desk's forms about people."""

from __future__ import annotations

from wtforms import (
    BooleanField,
    EmailField,
    HiddenField,
    StringField,
    TelField,
    TextAreaField,
)
from wtforms.validators import InputRequired, Optional

from app.rules.categories import Category
from app.rules.people.students import MOST_NAME, MOST_NOTES, StudentFacts
from app.store.people.emails import MOST_EMAIL
from app.store.people.writing import MOST_PHONE
from app.web.choices import PickField, options
from app.web.forms import DayField, Length, OnceForm, SchoolForm

NONE_YET = ("", "Choose one")
CATEGORIES = options((category, f"Category {category}") for category in Category)


def _category(value: str | None) -> Category | None:
    return Category(value) if value else None


class NewStudentForm(OnceForm):
    """Only what is needed first."""

    name = StringField("Name", [InputRequired("Write the name."), Length(MOST_NAME)])
    category = PickField(
        "Licence category",
        [InputRequired("Choose the category.")],
        choices=[*options([NONE_YET]), *CATEGORIES],
        coerce=_category,
    )
    phone = TelField("Phone", [Length(MOST_PHONE)])
    email = EmailField("Email", [Length(MOST_EMAIL)])
    as_new = BooleanField("This is someone else: add them too")

    def facts(self) -> StudentFacts:
        """The student as typed."""
        return StudentFacts(
            name=self.name.data,
            category=self.category.data,
            phone=self.phone.data or None,
            email=self.email.data or None,
        )


class StudentForm(SchoolForm):
    """All that is written down about a student, from the version that was opened."""

    version = HiddenField()
    name = StringField("Name", [InputRequired("Write the name."), Length(MOST_NAME)])
    category = PickField("Licence category", choices=CATEGORIES, coerce=Category)
    phone = TelField("Phone", [Optional(), Length(MOST_PHONE)])
    email = EmailField("Email", [Optional(), Length(MOST_EMAIL)])
    date_of_birth = DayField("Date of birth", [Optional()])
    emergency_name = StringField("Emergency contact", [Optional(), Length(MOST_NAME)])
    emergency_phone = TelField("Phone of the contact", [Optional(), Length(MOST_PHONE)])
    guardian_name = StringField("Guardian", [Optional(), Length(MOST_NAME)])
    guardian_phone = TelField("Phone of the guardian", [Optional(), Length(MOST_PHONE)])
    notes = TextAreaField("Notes", [Optional(), Length(MOST_NOTES)])

    def facts(self) -> StudentFacts:
        """The student as typed."""
        return StudentFacts(
            name=self.name.data,
            category=self.category.data,
            phone=self.phone.data or None,
            email=self.email.data or None,
            date_of_birth=self.date_of_birth.data,
            emergency_name=self.emergency_name.data or None,
            emergency_phone=self.emergency_phone.data or None,
            guardian_name=self.guardian_name.data or None,
            guardian_phone=self.guardian_phone.data or None,
            notes=self.notes.data or "",
        )


class InstructorForm(OnceForm):
    """A new instructor."""

    name = StringField("Name", [InputRequired("Write the name."), Length(MOST_NAME)])
