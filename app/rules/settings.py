"""What the owner of a school may set, with the values it starts from."""

from __future__ import annotations

from dataclasses import dataclass

BRING_AND_WEAR = (
    "Bring your driving licence, your CBT certificate and your theory pass if you have them. "
    "Wear a jacket and trousers that protect you, gloves, and boots over the ankle; "
    "the school lends a helmet and a hi-vis vest."
)
"""What a reminder says until the owner writes the school's own. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class SchoolSettings:
    """The school's own figures.

    ``clean_in_a_row``, ``over_sessions``, ``within_days`` (days) and ``chance``
    (0 to 1) are the four numbers of a steady manoeuvre. ``notice_hours`` is how
    long before a session a cancellation stops being late. ``lock_minutes`` is how
    long an instructor's browser may lie idle before it locks; 0 is never.
    ``turnaround_minutes`` is the least time between two sessions of one instructor in
    one yard, ``travel_minutes`` between two yards. ``nation`` says whose bank holidays
    the school keeps (ENG, WLS, SCT, NIR, or nothing for none). A place is held for
    ``hold_minutes``. Reminders go out the day before from ``reminder_hour`` o'clock on.
    ``phone_region`` (ISO 3166-1) is where a phone number without a country code is.
    ``calendar_key`` makes the entries of the school's calendars its own.
    """

    school_name: str = "My riding school"
    time_zone: str = "Europe/London"
    demo: bool = False
    clean_in_a_row: int = 3
    over_sessions: int = 2
    within_days: int = 21
    chance: float = 0.80
    notice_hours: int = 48
    lock_minutes: int = 15
    turnaround_minutes: int = 0
    travel_minutes: int = 20
    nation: str = "ENG"
    open_on_bank_holidays: bool = False
    hold_minutes: int = 240
    reminder_hour: int = 10
    phone_region: str = "GB"
    school_phone: str = ""
    school_email: str = ""
    bring_and_wear: str = BRING_AND_WEAR
    calendar_key: str = ""
