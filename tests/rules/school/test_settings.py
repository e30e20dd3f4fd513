"""What the owner may set."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.rules.refusal import Refused
from app.rules.school.settings import check
from app.rules.settings import SchoolSettings

START = SchoolSettings()


def test_the_settings_a_school_starts_from_hold() -> None:
    check(START)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"school_name": "  "}, "school_name"),
        ({"time_zone": "Europe/Atlantis"}, "time_zone"),
        ({"time_zone": "../../etc/passwd"}, "time_zone"),
        ({"time_zone": ""}, "time_zone"),
        ({"clean_in_a_row": 0}, "clean_in_a_row"),
        ({"clean_in_a_row": 11}, "clean_in_a_row"),
        ({"over_sessions": 0}, "over_sessions"),
        ({"within_days": 0}, "within_days"),
        ({"within_days": 366}, "within_days"),
        ({"chance": 0.49}, "chance_percent"),
        ({"chance": 1.0}, "chance_percent"),
        ({"notice_hours": -1}, "notice_hours"),
        ({"lock_minutes": -1}, "lock_minutes"),
        ({"lock_minutes": 241}, "lock_minutes"),
        ({"turnaround_minutes": -1}, "turnaround_minutes"),
        ({"travel_minutes": 241}, "travel_minutes"),
        ({"nation": "FR"}, "nation"),
        ({"hold_minutes": 4}, "hold_minutes"),
        ({"hold_minutes": 7 * 24 * 60 + 1}, "hold_minutes"),
        ({"reminder_hour": 24}, "reminder_hour"),
        ({"reminder_hour": -1}, "reminder_hour"),
        ({"phone_region": "ZZ"}, "phone_region"),
        ({"school_phone": "by day"}, "school_phone"),
        ({"bring_and_wear": "  "}, "bring_and_wear"),
    ],
)
def test_a_setting_that_cannot_hold_is_refused_at_its_field(
    change: dict[str, object], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        check(replace(START, **change))  # type: ignore[arg-type]
    assert [reason.field for reason in refused.value.reasons] == [field]


def test_rides_in_a_row_cannot_lie_in_more_sessions_than_there_are_rides() -> None:
    with pytest.raises(Refused, match="at most 2 sessions"):
        check(replace(START, clean_in_a_row=2, over_sessions=3))
