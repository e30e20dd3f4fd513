"""The desk's forms about when the school is open and its instructors work."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from wtforms import BooleanField, Field, HiddenField, StringField
from wtforms.validators import InputRequired, Optional

from app.rules.people.authorisations import AUTHORISATION_WORDS, Authorisation, InstructorFacts
from app.rules.people.days import DAYS, DaysOut, WeeklyHours
from app.rules.people.days_out import MOST_REASON
from app.rules.people.hours import MOST_TYPED, hours_typed, hours_words
from app.rules.people.students import MOST_NAME
from app.rules.refusal import Reason, Refused
from app.store.yards.reads import Yard
from app.web.choices import PickField, number, options
from app.web.forms import DayField, Length, OnceForm, SchoolForm

WHOLE_SCHOOL = 0


class _WeekFields(SchoolForm):
    """The hours of each weekday, as text."""

    version = HiddenField()
    day_0 = StringField(DAYS[0], [Length(MOST_TYPED)])
    day_1 = StringField(DAYS[1], [Length(MOST_TYPED)])
    day_2 = StringField(DAYS[2], [Length(MOST_TYPED)])
    day_3 = StringField(DAYS[3], [Length(MOST_TYPED)])
    day_4 = StringField(DAYS[4], [Length(MOST_TYPED)])
    day_5 = StringField(DAYS[5], [Length(MOST_TYPED)])
    day_6 = StringField(DAYS[6], [Length(MOST_TYPED)])

    @property
    def week(self) -> list[Field]:
        """The fields of the seven days, Monday first."""
        return [self[f"day_{weekday}"] for weekday in range(len(DAYS))]

    def typed(self) -> dict[int, str]:
        """What was typed for each day."""
        return {weekday: field.data or "" for weekday, field in enumerate(self.week)}


def week_values(hours: Iterable[WeeklyHours]) -> dict[str, str]:
    """What the seven fields show for hours as they are kept."""
    hours = tuple(hours)
    return {f"day_{weekday}": hours_words(hours, weekday) for weekday in range(len(DAYS))}


class OpeningForm(_WeekFields):
    """When the school is open."""

    def hours(self) -> tuple[WeeklyHours, ...]:
        """The hours as typed, one time a day; Refused at the day that cannot be read."""
        return hours_typed(self.typed(), most=1)


class InstructorForm(_WeekFields):
    """An instructor's name, hours and authorisations, from the version that was opened."""

    name = StringField("Name", [InputRequired("Write the name."), Length(MOST_NAME)])
    cbt = BooleanField("The CBT authorisation is on file")
    cbt_until = DayField("Last day", [Optional()])
    direct_access = BooleanField("The direct access authorisation is on file")
    direct_access_until = DayField("Last day", [Optional()])

    def facts(self) -> InstructorFacts:
        """The record as typed; Refused at the field that cannot be so."""
        self._check_ticks()
        return InstructorFacts(
            name=self.name.data,
            hours=hours_typed(self.typed()),
            authorisations={
                kind: self._until(kind) for kind in Authorisation if self[kind.value].data
            },
        )

    def _until(self, kind: Authorisation) -> date | None:
        until: date | None = self[f"{kind}_until"].data
        return until

    def _check_ticks(self) -> None:
        loose = [
            Reason(
                f"Tick that the {AUTHORISATION_WORDS[kind]} authorisation is on file, "
                "or take the day away.",
                kind.value,
            )
            for kind in Authorisation
            if self._until(kind) and not self[kind.value].data
        ]
        if loose:
            raise Refused(*loose)


def instructor_values(facts: InstructorFacts) -> dict[str, object]:
    """What the form shows for an instructor as kept."""
    held: dict[str, object] = {}
    for kind, until in facts.authorisations.items():
        held |= {kind.value: True, f"{kind}_until": until}
    return {"name": facts.name, **week_values(facts.hours), **held}


class _DaysFields(OnceForm):
    """From one day to another."""

    first_day = DayField("First day", [InputRequired("Write the first day.")])
    last_day = DayField("Last day", [Optional()])

    def days(self) -> tuple[date, date]:
        """Both days as typed; one day alone is the first and the last."""
        return self.first_day.data, self.last_day.data or self.first_day.data


class DaysOffForm(_DaysFields):
    """Days on which an instructor does not work."""

    reason = StringField("Why", [Optional(), Length(MOST_REASON)])

    def out(self) -> DaysOut:
        """The days as typed."""
        return DaysOut(*self.days(), self.reason.data or "")


class ClosureForm(_DaysFields):
    """Days on which the school or a yard is closed."""

    yard_id = PickField("What is closed", coerce=number)
    reason = StringField(
        "Why", [InputRequired("Write why: those who want to book are told."), Length(MOST_REASON)]
    )

    def offer(self, yards: Iterable[Yard]) -> None:
        """Offer the whole school and each yard."""
        each = ((yard.id, yard.plan.name) for yard in yards)
        self.yard_id.choices = options([(WHOLE_SCHOOL, "The whole school"), *each])

    def out(self) -> DaysOut:
        """The closure as typed."""
        return DaysOut(*self.days(), self.reason.data or "", self.yard_id.data or None)
