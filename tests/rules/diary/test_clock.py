"""School time over both changes of the clock."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from app.rules.diary.clock import moment_of, monday_of, nearest_moment, span_of
from app.rules.refusal import Refused

LONDON = ZoneInfo("Europe/London")
FORWARD = date(2027, 3, 28)  # the last Sunday of March: 01:00 becomes 02:00
BACK = date(2026, 10, 25)  # the last Sunday of October: 02:00 becomes 01:00


def test_winter_and_summer_time() -> None:
    winter = moment_of(date(2026, 12, 3), time(14, 30), LONDON)
    summer = moment_of(date(2026, 7, 3), time(14, 30), LONDON)
    assert winter == datetime(2026, 12, 3, 14, 30, tzinfo=UTC)
    assert summer == datetime(2026, 7, 3, 13, 30, tzinfo=UTC)


@pytest.mark.parametrize("clock", [time(1, 0), time(1, 30), time(1, 59)])
def test_a_time_that_the_clock_skips_is_refused_at_its_field(clock: time) -> None:
    with pytest.raises(Refused, match=r"goes forward on Sun 28 Mar 2027 and skips 01:") as caught:
        moment_of(FORWARD, clock, LONDON, "starts")
    assert caught.value.reasons[0].field == "starts"


@pytest.mark.parametrize(("clock", "hour"), [(time(0, 59), 0), (time(2, 0), 1)])
def test_the_times_around_the_skipped_hour_stand(clock: time, hour: int) -> None:
    assert moment_of(FORWARD, clock, LONDON).hour == hour


@pytest.mark.parametrize("fold", [0, 1])
def test_a_time_that_comes_twice_means_the_first(fold: int) -> None:
    moment = moment_of(BACK, time(1, 30, fold=fold), LONDON)
    assert moment == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("day", "hours"), [(FORWARD, 23), (BACK, 25), (date(2026, 12, 3), 24), (date(2028, 2, 29), 24)]
)
def test_a_day_is_as_long_as_the_clock_makes_it(day: date, hours: int) -> None:
    begins, ends = span_of(day, 1, LONDON)
    assert (ends - begins).total_seconds() == hours * 3600


@pytest.mark.parametrize(
    ("day", "clock", "fold", "moment"),
    [
        (FORWARD, time(1, 30), 0, datetime(2027, 3, 28, 1, 0, tzinfo=UTC)),
        (FORWARD, time(1, 0), 1, datetime(2027, 3, 28, 1, 0, tzinfo=UTC)),
        (BACK, time(1, 30), 0, datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),
        (BACK, time(1, 30), 1, datetime(2026, 10, 25, 1, 30, tzinfo=UTC)),
        (date(2028, 2, 29), time(9), 0, datetime(2028, 2, 29, 9, 0, tzinfo=UTC)),
    ],
)
def test_hours_of_the_week_meet_the_clock_where_it_is_nearest(
    day: date, clock: time, fold: int, moment: datetime
) -> None:
    assert nearest_moment(day, clock, LONDON, fold) == moment


def test_a_week_begins_on_monday() -> None:
    assert monday_of(date(2026, 11, 29)) == monday_of(date(2026, 11, 23)) == date(2026, 11, 23)
