"""The desk's forms about sessions and bookings."""

from __future__ import annotations

from collections.abc import Iterable

from wtforms import HiddenField, StringField
from wtforms.validators import InputRequired, Optional

from app.rules.categories import Category
from app.rules.diary.facts import SessionWish
from app.rules.diary.values import SessionKind
from app.rules.diary.words import KINDS
from app.store.diary.card_reads import BikeChoice
from app.store.people.reads import Instructor
from app.store.yards.reads import Yard
from app.web.choices import PickField, PickRadioField, number, options
from app.web.forms import ClockField, DayField, Length, OnceForm, SchoolForm, WholeNumberField

OWN_BIKE = 0


class _SessionFields(SchoolForm):
    """What a session is described by."""

    day = DayField("Day", [InputRequired("Write a day.")])
    starts = ClockField("Starts", [InputRequired("Write a time of day, as 14:30.")])
    ends = ClockField("Ends", [InputRequired("Write a time of day, as 14:30.")])
    instructor_id = PickField("Instructor", coerce=number)
    yard_id = PickField("Yard", coerce=number)
    kind = PickField("What for", choices=options(KINDS.items()), coerce=SessionKind)
    places = WholeNumberField("Places", [InputRequired("Write how many places.")], default=4)
    remarks = StringField("Remarks", [Optional(), Length(200)])

    def offer(self, yards: Iterable[Yard], instructors: Iterable[Instructor]) -> None:
        """Offer the yards that are open and the instructors who teach, and what is chosen now."""
        self.yard_id.choices = options(
            (one.id, one.plan.name)
            for one in yards
            if one.plan.open or one.id == self.yard_id.object_data
        )
        self.instructor_id.choices = options(
            (one.id, one.name)
            for one in instructors
            if one.active or one.id == self.instructor_id.object_data
        )

    def wish(self) -> SessionWish:
        """The session as typed."""
        return SessionWish(
            yard_id=self.yard_id.data,
            instructor_id=self.instructor_id.data,
            kind=self.kind.data,
            day=self.day.data,
            starts=self.starts.data,
            ends=self.ends.data,
            places=self.places.data,
            remarks=self.remarks.data or "",
        )


class NewSessionForm(_SessionFields, OnceForm):
    """A new session."""


class SessionForm(_SessionFields):
    """A session from the version that was opened."""

    version = HiddenField()


class _BikeFields(SchoolForm):
    """Which bike a student gets. The best one is chosen already, so that Enter is enough."""

    # The list on the page may be old by the time it is sent. The store knows what is
    # free then, and says who has it.
    bike_id = PickRadioField(
        "Bike", [InputRequired("Choose a bike.")], coerce=number, validate_choice=False
    )

    def offer(self, bikes: tuple[BikeChoice, ...], proposed: int | None = None) -> None:
        """Offer the bikes that are free, the best one first; ``proposed`` is chosen already."""
        free = [
            (bike.id, f"{bike.label}, category {bike.category}, {bike.registration}")
            for bike in bikes
        ]
        offered = [*free, (OWN_BIKE, "Their own bike")]
        self.categories = {bike.id: bike.category for bike in bikes}
        self.labels = {bike.id: bike.label for bike in bikes} | {OWN_BIKE: "their own bike"}
        self.bike_id.choices = options(offered)
        # The keyboard starts at the proposed bike: an arrow takes another, Enter books.
        ids = [bike_id for bike_id, _ in offered]
        place = ids.index(proposed) if proposed in ids else 0
        self.bike_id.choices[place].render_kw["autofocus"] = not self.is_submitted()
        if not self.is_submitted():
            self.bike_id.data = ids[place]

    def wanted_bike(self) -> int | None:
        """The bike that was chosen; None for the student's own."""
        return self.bike_id.data or None

    def bike_category(self) -> Category | None:
        """The category of the chosen bike; None for the student's own, or one not offered now."""
        return self.categories.get(self.bike_id.data)

    def bike_words(self) -> str:
        """The chosen bike for a sentence; a stale page may name one that is not offered now."""
        return self.labels.get(self.bike_id.data, "another bike")


class BookForm(_BikeFields, OnceForm):
    """A place with a bike."""


class BikeForm(_BikeFields):
    """Another bike for a booking, from the version that was opened."""

    version = HiddenField()
