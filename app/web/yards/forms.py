"""The desk's forms about yards and bikes."""

from __future__ import annotations

from wtforms import BooleanField, HiddenField, StringField, TextAreaField
from wtforms.validators import InputRequired, Optional

from app.rules.categories import Category
from app.rules.yards.keeping import BikePlan, YardPlan
from app.web.choices import PickField, options
from app.web.forms import Length, NumberField, OnceForm, SchoolForm, WholeNumberField


def _tenth(number: float | None) -> float:
    return round(number or 0.0, 1)


class _YardFields(SchoolForm):
    """What a yard is described by."""

    name = StringField("Name", [InputRequired("Write the yard's name."), Length(60)])
    length_m = NumberField("Length in metres", [InputRequired("Write the length in metres.")])
    width_m = NumberField("Width in metres", [InputRequired("Write the width in metres.")])
    places = WholeNumberField("Riders at once", [InputRequired("Write how many may ride at once.")])
    speed_run = BooleanField("There is room for the run at speed")
    avoidance_left = BooleanField("The avoidance can be ridden to the left")
    avoidance_right = BooleanField("The avoidance can be ridden to the right")
    remarks = TextAreaField("Remarks", [Optional(), Length(500)])
    open = BooleanField("Open for sessions")

    def plan(self) -> YardPlan:
        """The yard as typed."""
        return YardPlan(
            name=self.name.data,
            length_m=_tenth(self.length_m.data),
            width_m=_tenth(self.width_m.data),
            places=self.places.data,
            speed_run=self.speed_run.data,
            avoidance_left=self.avoidance_left.data,
            avoidance_right=self.avoidance_right.data,
            remarks=self.remarks.data or "",
            open=self.open.data,
        )


class NewYardForm(_YardFields, OnceForm):
    """A new yard."""


class YardForm(_YardFields):
    """A yard from the version that was opened."""

    version = HiddenField()


class _BikeFields(SchoolForm):
    """What a bike is described by."""

    label = StringField("What we call it", [InputRequired("Write its name."), Length(40)])
    registration = StringField(
        "Registration", [InputRequired("Write the registration."), Length(15)]
    )
    category = PickField(
        "For category",
        choices=options((one, f"Category {one}") for one in Category),
        coerce=Category,
    )
    capacity_cc = WholeNumberField("Engine in cc", [InputRequired("Write the engine size in cc.")])
    power_kw = NumberField("Power in kW", [InputRequired("Write the power in kW.")])
    kerb_kg = WholeNumberField("Kerb mass in kg", [InputRequired("Write the kerb mass in kg.")])

    def plan(self) -> BikePlan:
        """The bike as typed."""
        return BikePlan(
            label=self.label.data,
            registration=self.registration.data,
            category=self.category.data,
            capacity_cc=self.capacity_cc.data,
            power_kw=_tenth(self.power_kw.data),
            kerb_kg=self.kerb_kg.data,
        )


class NewBikeForm(_BikeFields, OnceForm):
    """A new bike."""


class BikeForm(_BikeFields):
    """A bike from the version that was opened."""

    version = HiddenField()


class OffRoadForm(SchoolForm):
    """Why a bike is taken off the road."""

    version = HiddenField()
    reason = StringField(
        "What is wrong with it", [InputRequired("Write what is wrong with it."), Length(200)]
    )
