"""The form in which the desk chooses what stays of two records."""

from __future__ import annotations

from datetime import date
from typing import Any

from wtforms import HiddenField

from app.rules.people.students import MOST_NOTES, StudentFacts
from app.rules.school.merging import FIELDS, Pick, differing, joined, proposed
from app.rules.words import date_words
from app.store.school.merging import Merger
from app.store.school.twins import Comparison
from app.web.choices import PickRadioField, options
from app.web.forms import SchoolForm
from app.web.versions import version_sent


def _choice(name: str) -> PickRadioField:
    return PickRadioField(name, choices=(), coerce=Pick)


class MergeForm(SchoolForm):
    """A choice for each field in which the two differ; the others are taken out."""

    version = HiddenField()
    other_version = HiddenField()
    name = _choice("Name")
    category = _choice("Licence category")
    phone = _choice("Phone")
    email = _choice("Email")
    date_of_birth = _choice("Date of birth")
    emergency_name = _choice("Emergency contact")
    emergency_phone = _choice("Phone of the contact")
    guardian_name = _choice("Guardian")
    guardian_phone = _choice("Phone of the guardian")
    notes = _choice("Notes")

    @classmethod
    def of(cls, both: Comparison) -> MergeForm:
        """The form for two records, with what we would choose chosen."""
        ours, theirs = both.kept.facts, both.other.facts
        names = differing(ours, theirs)
        start: dict[str, Any] = {name: proposed(ours, theirs, name) for name in names}
        start |= {"version": both.kept.version, "other_version": both.other.version}
        form = cls(data=start)
        for name in FIELDS:
            if name in names:
                form[name].choices = options(_choices(ours, theirs, name))
            else:
                del form[name]
        return form

    def wanted(self, both: Comparison) -> Merger:
        """What was chosen."""
        names = differing(both.kept.facts, both.other.facts)
        return Merger(
            both.kept.id,
            both.other.id,
            version_sent(),
            version_sent("other_version"),
            {name: self[name].data for name in names},
        )


def _choices(ours: StudentFacts, theirs: StudentFacts, name: str) -> list[tuple[Pick, str]]:
    one, other = getattr(ours, name), getattr(theirs, name)
    found = [(Pick.KEPT, f"Keep: {_words(one)}"), (Pick.OTHER, f"Take: {_words(other)}")]
    if name == "notes" and one and other and len(joined(one, other)) <= MOST_NOTES:
        found.append((Pick.BOTH, "Both, one under the other"))
    return found


def _words(value: object) -> str:
    if isinstance(value, date):
        return date_words(value)
    return str(value) if value else "nothing"
