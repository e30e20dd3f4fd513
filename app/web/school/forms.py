"""The owner's forms."""

from __future__ import annotations

from dataclasses import replace

from wtforms import HiddenField, StringField
from wtforms.validators import InputRequired

from app.rules.settings import SchoolSettings
from app.web.forms import Length, SchoolForm, WholeNumberField


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

    seen = HiddenField()

    @staticmethod
    def values_of(settings: SchoolSettings) -> dict[str, object]:
        """What the form shows for settings in force."""
        return {
            "school_name": settings.school_name,
            "time_zone": settings.time_zone,
            "clean_in_a_row": settings.clean_in_a_row,
            "over_sessions": settings.over_sessions,
            "within_days": settings.within_days,
            "chance_percent": round(settings.chance * 100),
            "notice_hours": settings.notice_hours,
            "lock_minutes": settings.lock_minutes,
        }

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
        return replace(
            now,
            school_name=self.school_name.data or "",
            time_zone=self.time_zone.data or "",
            clean_in_a_row=self.clean_in_a_row.data,
            over_sessions=self.over_sessions.data,
            within_days=self.within_days.data,
            chance=self.chance_percent.data / 100,
            notice_hours=self.notice_hours.data,
            lock_minutes=self.lock_minutes.data,
        )
