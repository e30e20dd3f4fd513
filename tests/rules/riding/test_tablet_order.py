"""Whatever the clock did and whatever arrived first, a tablet's rides keep their order."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from app.rules.riding.tablet_order import put_in_order

NOW = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)
_shifts = st.integers(-300, 300).map(lambda minutes: timedelta(minutes=minutes))


def at(minute: int) -> datetime:
    return NOW - timedelta(minutes=60 - minute)


@st.composite
def _arrivals(draw: st.DrawFn) -> list[dict[int, datetime]]:
    """Rides with numbers of their own and a clock that jumps, in batches of any order."""
    numbers = draw(st.lists(st.integers(0, 60), unique=True, min_size=1, max_size=25))
    times = {number: at(number) + draw(_shifts) for number in numbers}
    batches: list[dict[int, datetime]] = [{} for _ in range(draw(st.integers(1, 5)))]
    for number in draw(st.permutations(numbers)):
        batches[draw(st.integers(0, len(batches) - 1))][number] = times[number]
    return batches


@given(_arrivals())
def test_the_order_is_the_tablets_own_however_they_arrive(
    batches: list[dict[int, datetime]],
) -> None:
    kept: dict[int, datetime] = {}
    for minutes, batch in enumerate(batches):
        now = NOW + timedelta(minutes=minutes)
        fresh = put_in_order(batch, kept, now)
        assert fresh.keys() == batch.keys()
        kept |= fresh
    moments = [kept[number] for number in sorted(kept)]
    assert moments == sorted(set(moments))


@given(st.lists(st.integers(0, 60), unique=True, min_size=1))
def test_times_that_agree_with_the_numbers_stay_as_they_are(numbers: list[int]) -> None:
    sent = {number: at(number) for number in numbers}
    assert put_in_order(sent, {}, NOW) == sent
    first, rest = (
        {n: t for n, t in sent.items() if n % 2},
        {n: t for n, t in sent.items() if not n % 2},
    )
    assert put_in_order(rest, put_in_order(first, {}, NOW), NOW) == rest


def test_a_clock_set_back_between_two_rides() -> None:
    """Three hours fast until the third ride: the first two are drawn in before it."""
    fast = timedelta(hours=3)
    found = put_in_order({1: at(10) + fast, 2: at(12) + fast, 3: at(14), 4: at(16)}, {}, NOW)
    tick = timedelta(microseconds=1)
    assert found == {1: at(14) - 2 * tick, 2: at(14) - tick, 3: at(14), 4: at(16)}


def test_a_late_ride_fits_between_two_that_were_drawn_together() -> None:
    kept = put_in_order({1: at(30), 3: at(20)}, {}, NOW)
    (late,) = put_in_order({2: at(50)}, kept, NOW).values()
    assert kept[1] < late < kept[3]


def test_what_was_kept_does_not_move() -> None:
    assert put_in_order({1: at(1), 2: at(2)}, {1: at(30)}, NOW) == {
        2: at(30) + timedelta(microseconds=1)
    }
