"""When the clock of a zone changes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.rules.diary.zone_changes import zone_changes


def test_london_changes_on_the_last_sundays_of_march_and_october_at_one_utc() -> None:
    """Source: The Summer Time Order 2002 (S.I. 2002/262): one o'clock, Greenwich mean time."""
    first, *changes = zone_changes(ZoneInfo("Europe/London"), 2026, 2027)
    assert [change.at for change in changes] == [
        datetime(2026, 3, 29, 1, tzinfo=UTC),
        datetime(2026, 10, 25, 1, tzinfo=UTC),
        datetime(2027, 3, 28, 1, tzinfo=UTC),
        datetime(2027, 10, 31, 1, tzinfo=UTC),
    ]
    assert [change.after.name for change in changes] == ["BST", "GMT"] * 2
    assert [change.after.daylight for change in changes] == [True, False] * 2
    assert (first.at, first.before, first.after.offset) == (
        datetime(2026, 1, 1, tzinfo=UTC),
        timedelta(),
        timedelta(),
    )


def test_the_old_clock_shows_one_in_spring_and_two_in_autumn() -> None:
    _, forward, back = zone_changes(ZoneInfo("Europe/London"), 2027, 2027)
    assert (forward.wall.hour, back.wall.hour) == (1, 2)


@pytest.mark.parametrize("key", ["UTC", "Asia/Kolkata"])
def test_a_zone_that_never_changes_has_one_entry(key: str) -> None:
    (only,) = zone_changes(ZoneInfo(key), 2026, 2030)
    assert only.before == only.after.offset


def test_a_change_of_half_an_hour() -> None:
    _, back, forward = zone_changes(ZoneInfo("Australia/Lord_Howe"), 2027, 2027)
    assert back.before - back.after.offset == timedelta(minutes=30)
    assert forward.after.offset - forward.before == timedelta(minutes=30)
