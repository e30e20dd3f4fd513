"""The axis of a time grid, over both changes of the clock."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.diary.axis import DAY, Axis, Stretch, day_axis, reach, week_axis
from app.rules.diary.clock import span_of
from app.rules.diary.facts import Span
from tests.support.clock import LONDON

FORWARD = date(2027, 3, 28)  # the last Sunday of March: 01:00 becomes 02:00
BACK = date(2026, 10, 25)  # the last Sunday of October: 02:00 becomes 01:00
PLAIN = date(2028, 2, 29)
ZONES = [
    LONDON,
    ZoneInfo("Australia/Lord_Howe"),  # changes by half an hour
    ZoneInfo("Asia/Beirut"),  # changes at midnight
    ZoneInfo("Atlantic/Azores"),  # 01:00 becomes 00:00
    ZoneInfo("Pacific/Apia"),
]


@pytest.mark.parametrize(("day", "hours"), [(FORWARD, 23), (BACK, 25), (PLAIN, 24)])
def test_the_axis_is_as_long_as_the_day(day: date, hours: int) -> None:
    assert day_axis(day, LONDON).length == hours * 60


def test_the_hour_that_comes_twice_stands_twice() -> None:
    axis = day_axis(BACK, LONDON)
    hours = [axis.clock(place) for place in axis.ticks(60)]
    assert hours[:5] == [(0, False), (60, False), (60, True), (120, False), (180, False)]
    assert axis.at(datetime(2026, 10, 25, 0, 30, tzinfo=UTC), LONDON) == 90
    assert axis.at(datetime(2026, 10, 25, 1, 30, tzinfo=UTC), LONDON) == 150


def test_the_hour_that_is_skipped_does_not_stand() -> None:
    axis = day_axis(FORWARD, LONDON)
    assert axis.stretches == (Stretch(0, 60), Stretch(120, DAY))
    assert axis.at(datetime(2027, 3, 28, 1, 0, tzinfo=UTC), LONDON) == 60
    assert axis.place(90) == 60


@pytest.mark.parametrize("zone", ZONES, ids=str)
@given(days=st.integers(0, 3000), minutes=st.integers(0, DAY + 59))
def test_places_follow_one_another_as_moments_do(zone: ZoneInfo, days: int, minutes: int) -> None:
    """On its own day a moment stands as far from midnight as it is: whatever the clock does."""
    day = date(2020, 1, 1) + timedelta(days=days)
    begins, ends = span_of(day, 1, zone)
    axis = day_axis(day, zone)
    assert axis.length == (ends - begins).total_seconds() / 60
    moment = begins + timedelta(minutes=minutes)
    if moment < ends:
        place = axis.at(moment, zone)
        minute, again = axis.clock(place)
        local = moment.astimezone(zone)
        assert place == minutes
        assert (minute, again) == (local.hour * 60 + local.minute, bool(local.fold))


def test_the_days_of_a_week_share_an_axis() -> None:
    usual, back, forward = (day_axis(day, LONDON) for day in (PLAIN, BACK, FORWARD))
    assert week_axis([usual] * 7) == usual
    longer = week_axis([usual, back])
    assert longer == back
    assert longer.lacking(usual) == ((120, 180),)
    assert longer.lacking(back) == ()
    same = week_axis([usual, forward])
    assert same == usual
    assert same.lacking(forward) == ((60, 120),)


def test_a_time_is_cut_to_the_day_that_it_touches() -> None:
    span = Span(datetime(2026, 12, 4, 23, tzinfo=UTC), datetime(2026, 12, 5, 1, tzinfo=UTC))
    friday, saturday = date(2026, 12, 4), date(2026, 12, 5)
    axis = day_axis(friday, LONDON)
    assert reach(axis, span, friday, LONDON) == (23 * 60, DAY)
    assert reach(axis, span, saturday, LONDON) == (0, 60)


@pytest.mark.parametrize("day", [FORWARD, BACK])
def test_a_session_over_the_change_has_its_true_length(day: date) -> None:
    midnight = datetime.combine(day, time.min, LONDON).astimezone(UTC)
    span = Span(midnight + timedelta(minutes=30), midnight + timedelta(minutes=165))
    begins, ends = reach(day_axis(day, LONDON), span, day, LONDON)
    assert ends - begins == 135


def test_no_axis_is_left_without_its_end() -> None:
    axis = Axis((Stretch(0, DAY),))
    assert axis.clock(DAY) == (DAY, False)
    assert axis.place(DAY) == DAY
    assert (axis.ticks(60)[0], axis.ticks(60)[-1]) == (0, DAY)
