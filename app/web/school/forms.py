"""The owner's forms."""

from __future__ import annotations

from dataclasses import replace

from wtforms import (
    BooleanField,
    EmailField,
    HiddenField,
    StringField,
    TelField,
    TextAreaField,
)
from wtforms.validators import InputRequired, Optional

from app.rules.school.settings import MOST_BRING, NATIONS, PHONE_REGIONS
from app.rules.settings import SchoolSettings
from app.store.people.emails import MOST_EMAIL
from app.web.choices import PickField, options
from app.web.forms import Length, SchoolForm, WholeNumberField

SAME_IN_THE_FORM = (
    "school_name",
    "time_zone",
    "clean_in_a_row",
    "over_sessions",
    "within_days",
    "notice_hours",
    "lock_minutes",
    "nation",
    "open_on_bank_holidays",
    "turnaround_minutes",
    "travel_minutes",
    "hold_minutes",
    "reminder_hour",
    "phone_region",
    "school_phone",
    "school_email",
    "bring_and_wear",
)
"""Settings that are typed as they are kept, under their own names."""


class SettingsForm(SchoolForm):
    """The school's own figures."""

    school_name = StringField(
        "Name of the school", [InputRequired("Write the school's name."), Length(80)]
    )
    time_zone = StringField("Time zone", [InputRequired("Write a time zone."), Length(60)])
    clean_in_a_row = WholeNumberField("Clean rides in a row", [InputRequired("Write a number.")])
    over_sessions = WholeNumberField(
        "Over at least so many sessions", [InputRequired("Write a number.")]
    )
    within_days = WholeNumberField(
        "The last one within so many days", [InputRequired("Write a number.")]
    )
    chance_percent = WholeNumberField(
        "Chance that the next ride is clean, in 100", [InputRequired("Write a number.")]
    )
    notice_hours = WholeNumberField(
        "Hours of notice before a cancellation is late", [InputRequired("Write a number.")]
    )

    lock_minutes = WholeNumberField(
        "Minutes until a tablet locks", [InputRequired("Write a number.")]
    )

    nation = PickField("Bank holidays of", choices=options(NATIONS.items()))
    open_on_bank_holidays = BooleanField("The school is open on bank holidays")
    turnaround_minutes = WholeNumberField(
        "Minutes, both in one yard", [InputRequired("Write a number.")]
    )
    travel_minutes = WholeNumberField(
        "Minutes, from one yard to another", [InputRequired("Write a number.")]
    )
    hold_minutes = WholeNumberField(
        "Minutes for which a place is held", [InputRequired("Write a number.")]
    )
    reminder_hour = WholeNumberField(
        "Hour from which reminders go out", [InputRequired("Write a number.")]
    )
    school_phone = TelField("Phone of the school", [Optional(), Length(40)])
    school_email = EmailField("Email of the school", [Optional(), Length(MOST_EMAIL)])
    phone_region = PickField("Phone numbers are in", choices=options(PHONE_REGIONS.items()))
    bring_and_wear = TextAreaField(
        "What to bring and wear",
        [
            InputRequired("Write what to bring and wear: every reminder says it."),
            Length(MOST_BRING),
        ],
    )

    seen = HiddenField()

    @staticmethod
    def values_of(settings: SchoolSettings) -> dict[str, object]:
        """What the form shows for settings in force."""
        same = {name: getattr(settings, name) for name in SAME_IN_THE_FORM}
        return {**same, "chance_percent": round(settings.chance * 100)}

    @staticmethod
    def four_of(settings: SchoolSettings) -> str:
        """The four numbers of a steady manoeuvre as one word."""
        percent = round(settings.chance * 100)
        four = (settings.clean_in_a_row, settings.over_sessions, settings.within_days, percent)
        return "-".join(map(str, four))

    def four(self) -> str:
        """The same, as typed."""
        return self.four_of(self.wanted(SchoolSettings()))

    def wanted(self, now: SchoolSettings) -> SchoolSettings:
        """The settings as typed, over those in force."""
        same = {name: self[name].data for name in SAME_IN_THE_FORM}
        return replace(now, chance=self.chance_percent.data / 100, **same)
