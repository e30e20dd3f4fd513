"""The desk's forms about the life of a booking: moving, waiting, courses, cancelling."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from wtforms import BooleanField, HiddenField, StringField
from wtforms.validators import InputRequired, Optional, ValidationError

from app.rules.diary.finding_places import Place
from app.rules.diary.values import GivenUpFor, SessionKind
from app.rules.diary.waiting import WaitingWish
from app.rules.diary.words import KINDS
from app.rules.people.days import DAYS
from app.rules.words import moment_words
from app.store.diary.moving import Target
from app.web import context
from app.web.choices import PickField, PickManyField, PickRadioField, number, options
from app.web.forms import ClockField, DayField, Length, OnceForm, SchoolForm, WholeNumberField

GIVEN_UP = {
    GivenUpFor.STUDENT: "The student asked",
    GivenUpFor.SCHOOL: "The school has to",
    GivenUpFor.WEATHER: "The weather",
}


def target_word(place: Place) -> str:
    """A place as the value of a choice: ``12:4``, and ``12:0`` for the student's own bike."""
    return f"{place.session_id}:{place.bike_id or 0}"


def target_of(word: str) -> Target:
    """The place that such a value says; ValueError for what is none."""
    session_id, _, bike_id = word.partition(":")
    return Target(number(session_id), number(bike_id) or None)


def place_words(place: Place) -> str:
    """A place in a list of choices."""
    when = moment_words(place.span.starts_at, context.zone())
    return f"{when}, {place.yard} with {place.instructor}, {place.bike or 'own bike'}"


class CancelForm(SchoolForm):
    """Why a place is given up, from the version that was opened."""

    version = HiddenField()
    reason = PickRadioField("Why", choices=options(GIVEN_UP.items()), coerce=str)

    def why(self) -> GivenUpFor:
        """What was chosen; the student's own wish when nothing that can be was."""
        found = [reason for reason in GIVEN_UP if reason.value == self.reason.data]
        return found[0] if found else GivenUpFor.STUDENT


class MoveForm(SchoolForm):
    """Where a booking goes, from the version that was opened."""

    version = HiddenField()
    # The list on the page may be old by the time it is sent. The store knows what is free then.
    target = PickRadioField("New place", [InputRequired("Choose a place.")], validate_choice=False)

    def offer(self, places: Iterable[Place]) -> None:
        """Offer the places that are free, the soonest first."""
        self.target.choices = options((target_word(one), place_words(one)) for one in places)
        if not self.is_submitted() and self.target.choices:
            self.target.data = self.target.choices[0].value

    def wanted(self) -> Target:
        """The place that was chosen; Refused is the store's word for one that is gone."""
        return target_of(self.target.data)

    def validate_target(self, field: Any) -> None:
        """Refuse what no page of ours sends."""
        try:
            target_of(field.data or "")
        except ValueError:
            raise ValidationError("Choose one from the list.") from None


class WaitForm(OnceForm):
    """What a student waits for, and when they can."""

    kind = PickField("What for", choices=options(KINDS.items()), coerce=SessionKind)
    first_day = DayField("From day", [InputRequired("Write a day.")])
    last_day = DayField("To day", [InputRequired("Write a day.")])
    weekdays = PickManyField("Days of the week", coerce=number, choices=options(enumerate(DAYS)))
    begins = ClockField("Not before", [Optional()])
    ends = ClockField("Not after", [Optional()])
    own_bike = BooleanField("On their own bike")

    @staticmethod
    def usual(today: date) -> dict[str, Any]:
        """What stands in the form at first: six weeks, any day, any time."""
        last = today + timedelta(days=42)
        return {"first_day": today, "last_day": last, "weekdays": list(range(7))}

    def wish(self, student_id: int, session_id: int | None) -> WaitingWish:
        """What was asked for, as the rules are told it."""
        return WaitingWish(
            student_id=student_id,
            kind=self.kind.data,
            earliest=self.first_day.data,
            latest=self.last_day.data,
            weekdays=frozenset(self.weekdays.data or ()),
            begins=self.begins.data,
            ends=self.ends.data,
            own_bike=self.own_bike.data,
            session_id=session_id,
        )


class CourseAskForm(SchoolForm):
    """What a course is made of. It is sent with GET."""

    kind = PickField("What for", choices=options(KINDS.items()), coerce=SessionKind)
    number = WholeNumberField("How many sessions", [InputRequired("Write a number.")])
    days_between = WholeNumberField("Days from one to the next", [InputRequired("Write a number.")])
    first_day = DayField("From day", [InputRequired("Write a day.")])
    last_day = DayField("To day", [InputRequired("Write a day.")])
    own_bike = BooleanField("On their own bike")

    @staticmethod
    def usual(today: date) -> dict[str, Any]:
        """What stands in the form at first."""
        return {
            "kind": SessionKind.MODULE_1,
            "number": 3,
            "days_between": 2,
            "first_day": today,
            "last_day": today + timedelta(days=42),
        }


class CourseForm(OnceForm):
    """The sessions of a course that were chosen, and what it is called."""

    name = StringField(
        "What it is called", [InputRequired("Write what the course is called."), Length(80)]
    )
    places = PickManyField(
        "Sessions", [InputRequired("Choose at least one.")], validate_choice=False
    )

    def offer(self, places: Iterable[Place]) -> None:
        """Offer the sessions that were proposed, all of them chosen."""
        self.places.choices = options((target_word(one), place_words(one)) for one in places)
        if not self.is_submitted():
            self.places.data = [choice.value for choice in self.places.choices]

    def wanted(self) -> tuple[Target, ...]:
        """The sessions that were chosen."""
        return tuple(target_of(word) for word in self.places.data)

    def validate_places(self, field: Any) -> None:
        """Refuse what no page of ours sends."""
        try:
            self.wanted()
        except ValueError:
            field.data = []
            raise ValidationError("Choose from the list.") from None
