"""Until when an offered place is held: never past the start, never into the night."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.diary.holding import EVENING, MORNING, hold_end
from tests.support.clock import LONDON

HOLD = timedelta(hours=4)
FAR = datetime(2027, 12, 31, tzinfo=UTC)


@pytest.mark.parametrize(
    ("asked", "ends"),
    [
        ("2026-12-01T09:00", "2026-12-01T13:00"),
        ("2026-12-01T15:59", "2026-12-01T19:59"),
        ("2026-12-01T16:00", "2026-12-02T10:00"),
        ("2026-12-01T22:00", "2026-12-02T10:00"),
        ("2026-12-02T05:59", "2026-12-02T10:00"),
        ("2026-12-02T06:00", "2026-12-02T10:00"),
        ("2027-03-27T20:00", "2027-03-28T10:00"),
    ],
)
def test_a_night_is_no_time_to_answer(asked: str, ends: str) -> None:
    now = datetime.fromisoformat(asked).replace(tzinfo=LONDON)
    wanted = datetime.fromisoformat(ends).replace(tzinfo=LONDON)
    assert hold_end(now, HOLD, FAR, LONDON) == wanted


MOMENTS = st.datetimes(datetime(2026, 10, 20), datetime(2027, 4, 5)).map(
    lambda naive: naive.replace(tzinfo=UTC)
)


@given(now=MOMENTS, hours=st.integers(1, 72), ahead=st.integers(1, 500))
def test_it_is_as_long_as_the_owner_says_or_until_the_start(
    now: datetime, hours: int, ahead: int
) -> None:
    starts = now + timedelta(hours=ahead)
    end = hold_end(now, timedelta(hours=hours), starts, LONDON)
    assert end <= starts
    if end < starts:
        assert end >= now + timedelta(hours=hours)
        assert MORNING <= end.astimezone(LONDON).time() < EVENING
