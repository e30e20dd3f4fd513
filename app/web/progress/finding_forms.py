"""The form that asks for a place. It is sent with GET, so that an answer can be kept as a link."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from wtforms import BooleanField
from wtforms.validators import InputRequired, Optional

from app.rules.diary.facts import Rider
from app.rules.diary.finding_facts import EVERY_DAY, Need, Wish
from app.rules.diary.finding_wishes import PRACTICE, why_not_wish
from app.rules.diary.values import SessionKind
from app.rules.diary.words import KINDS
from app.rules.people.days import DAYS
from app.store.people.reads import Instructor
from app.store.yards.reads import Yard
from app.web.choices import PickField, PickManyField, PickRadioField, number, options
from app.web.forms import ClockField, DayField, SchoolForm, WholeNumberField

USUAL_DAYS = 28
"""So many days are looked through unless others are asked for. Our own choice."""

ANY = 0
OURS, OWN = "ours", "own"


class FindForm(SchoolForm):
    """What a student wants, and when they can."""

    kind = PickRadioField("What for", coerce=SessionKind)
    minutes = WholeNumberField("Minutes", [Optional()])
    bike = PickField("Bike", choices=options([(OURS, "One of ours"), (OWN, "Their own")]))
    first_day = DayField("From day", [InputRequired("Write a day.")])
    last_day = DayField("To day", [InputRequired("Write a day.")])
    begins = ClockField("Not before", [Optional()])
    ends = ClockField("Not after", [Optional()])
    weekdays = PickManyField("Days of the week", coerce=number, choices=options(enumerate(DAYS)))
    instructor_id = PickField("With", coerce=number)
    yard_id = PickField("In", coerce=number)
    only_rideable = BooleanField("Only where they can practise what is flagged")

    def offer(
        self, yards: Iterable[Yard], instructors: Iterable[Instructor], *, keyboard: bool
    ) -> None:
        """Offer the yards that are open and the instructors who teach, or any of them.

        With ``keyboard`` it starts at the kind: an arrow takes another, Enter looks.
        """
        kinds = options(KINDS.items())
        for kind in kinds:
            kind.render_kw["autofocus"] = keyboard and kind.value == self.kind.data
        self.kind.choices = kinds
        open_yards = [(one.id, one.plan.name) for one in yards if one.plan.open]
        teaching = [(one.id, one.name) for one in instructors if one.active]
        self.yard_id.choices = options([(ANY, "Any yard"), *open_yards])
        self.instructor_id.choices = options([(ANY, "Any instructor"), *teaching])

    def wish(self, student_id: int, rider: Rider, needs: tuple[Need, ...]) -> Wish:
        """What was asked for, as the rules are told it."""
        return Wish(
            student_id=student_id,
            rider=rider,
            kind=self.kind.data,
            first_day=self.first_day.data,
            last_day=self.last_day.data,
            minutes=self.minutes.data,
            weekdays=frozenset(self.weekdays.data or ()),
            begins=self.begins.data,
            ends=self.ends.data,
            own_bike=self.bike.data == OWN,
            needs=needs if self.kind.data in PRACTICE else (),
            only_rideable=self.only_rideable.data,
            yard_id=self.yard_id.data or None,
            instructor_id=self.instructor_id.data or None,
        )

    def understood(self, wish: Wish, today: date) -> bool:
        """Whether the wish can be looked for; its reasons against go to the fields."""
        reasons = why_not_wish(wish, today)
        for reason in reasons:
            self.refuse(reason.field, reason.sentence)
        return not reasons


def usual(today: date) -> dict[str, Any]:
    """What is asked for before anybody asks: four weeks, any day, any time, on a bike of ours."""
    return {
        "kind": SessionKind.MODULE_1,
        "bike": OURS,
        "first_day": today,
        "last_day": today + timedelta(days=USUAL_DAYS - 1),
        "weekdays": sorted(EVERY_DAY),
        "instructor_id": ANY,
        "yard_id": ANY,
        "only_rideable": True,
    }
