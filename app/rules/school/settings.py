"""What the owner's settings must be before they are kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from app.rules.people.phones import why_not_phone
from app.rules.refusal import Reason, Refused
from app.rules.settings import SchoolSettings

MOST_IN_A_ROW = 10
MOST_DAYS = 365
MOST_NOTICE_HOURS = 14 * 24
MOST_LOCK_MINUTES = 240
MOST_BETWEEN_MINUTES = 240
FEWEST_HOLD_MINUTES, MOST_HOLD_MINUTES = 5, 7 * 24 * 60
MOST_BRING = 1000

NATIONS: Mapping[str, str] = {
    "ENG": "England",
    "WLS": "Wales",
    "SCT": "Scotland",
    "NIR": "Northern Ireland",
    "": "None of these: no bank holidays",
}
"""Whose bank holidays a school may keep (ISO 3166-2:GB)."""

PHONE_REGIONS: Mapping[str, str] = {
    "GB": "United Kingdom",
    "GG": "Guernsey",
    "IE": "Ireland",
    "IM": "Isle of Man",
    "JE": "Jersey",
}
"""Where a phone number without a country code may be (ISO 3166-1)."""


def check(settings: SchoolSettings) -> None:
    """Refuse settings that cannot hold, or that contradict each other.

    Raises Refused with a sentence for each field.
    """
    reasons = (
        *_school(settings),
        *_numbers(settings),
        *_calendar(settings),
        *_reached(settings),
    )
    if reasons:
        raise Refused(*reasons)


def _school(settings: SchoolSettings) -> Iterator[Reason]:
    if not settings.school_name.strip():
        yield Reason("Write the school's name.", "school_name")
    if not _is_zone(settings.time_zone):
        yield Reason(
            f"There is no time zone {settings.time_zone}. Write one such as Europe/London.",
            "time_zone",
        )


def _numbers(settings: SchoolSettings) -> Iterator[Reason]:
    if not 1 <= settings.clean_in_a_row <= MOST_IN_A_ROW:
        yield Reason(f"Choose from 1 to {MOST_IN_A_ROW} rides.", "clean_in_a_row")
    elif not 1 <= settings.over_sessions <= settings.clean_in_a_row:
        yield Reason(
            f"{settings.clean_in_a_row} rides in a row can lie in at most "
            f"{settings.clean_in_a_row} sessions. Choose from 1 to {settings.clean_in_a_row}.",
            "over_sessions",
        )
    if not 1 <= settings.within_days <= MOST_DAYS:
        yield Reason(f"Choose from 1 to {MOST_DAYS} days.", "within_days")
    if not 0.5 <= settings.chance <= 0.9:
        yield Reason("Choose a chance from 50 to 90 in 100.", "chance_percent")
    if not 0 <= settings.notice_hours <= MOST_NOTICE_HOURS:
        yield Reason(f"Choose from 0 to {MOST_NOTICE_HOURS} hours.", "notice_hours")
    if not 0 <= settings.lock_minutes <= MOST_LOCK_MINUTES:
        yield Reason(f"Choose from 0 to {MOST_LOCK_MINUTES} minutes.", "lock_minutes")


def _calendar(settings: SchoolSettings) -> Iterator[Reason]:
    for name in ("turnaround_minutes", "travel_minutes"):
        if not 0 <= getattr(settings, name) <= MOST_BETWEEN_MINUTES:
            yield Reason(f"Choose from 0 to {MOST_BETWEEN_MINUTES} minutes.", name)
    if settings.nation not in NATIONS:
        yield Reason("Choose one from the list.", "nation")
    if not FEWEST_HOLD_MINUTES <= settings.hold_minutes <= MOST_HOLD_MINUTES:
        yield Reason(
            f"Choose from {FEWEST_HOLD_MINUTES} minutes to {MOST_HOLD_MINUTES:,}, which is a week.",
            "hold_minutes",
        )


def _reached(settings: SchoolSettings) -> Iterator[Reason]:
    if not 0 <= settings.reminder_hour <= 23:
        yield Reason("Choose an hour from 0 to 23.", "reminder_hour")
    if settings.phone_region not in PHONE_REGIONS:
        yield Reason("Choose one from the list.", "phone_region")
    if settings.school_phone and (sentence := why_not_phone(settings.school_phone)):
        yield Reason(sentence, "school_phone")
    if not settings.bring_and_wear.strip():
        yield Reason("Write what to bring and wear: every reminder says it.", "bring_and_wear")


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return "/" in name or name == "UTC"
