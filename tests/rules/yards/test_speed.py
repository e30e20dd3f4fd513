"""Speeds: in km/h, in mph, in words, from a gate and behind a dial."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.yards.speed import (
    dial_range_kmh,
    gate_speed_kmh,
    kmh_from_mph,
    kmh_words,
    mph_from_kmh,
    speed_words,
)


@pytest.mark.parametrize(
    ("kmh", "words"),
    [
        (51.0, "51 km/h (32 mph)"),
        (50.0, "50 km/h (31 mph)"),
        (30.0, "30 km/h (19 mph)"),
        (48.5, "48.5 km/h (30 mph)"),
        (0.0, "0 km/h (0 mph)"),
    ],
)
def test_a_speed_is_written_in_both_units(kmh: float, words: str) -> None:
    assert speed_words(kmh) == words


def test_a_speed_short_of_a_whole_number_is_not_rounded_up_to_it() -> None:
    assert kmh_words(49.999) == "49.9"


@given(st.integers(0, 1500))
def test_a_speed_kept_to_a_tenth_is_written_to_that_tenth(tenths: int) -> None:
    assert float(kmh_words(tenths / 10)) == tenths / 10


@given(st.floats(0, 200))
def test_there_and_back_is_the_same_speed(kmh: float) -> None:
    assert kmh_from_mph(mph_from_kmh(kmh)) == pytest.approx(kmh)


def test_ten_metres_in_0_72_seconds_is_50_km_h() -> None:
    assert gate_speed_kmh(10.0, 0.72) == pytest.approx(50.0)


@pytest.mark.parametrize(
    ("metres", "seconds"), [(0.0, 1.0), (10.0, 0.0), (10.0, -1.0), (float("nan"), 1.0)]
)
def test_a_gate_without_length_or_time_is_refused(metres: float, seconds: float) -> None:
    with pytest.raises(ValueError, match="gate"):
        gate_speed_kmh(metres, seconds)


@given(st.floats(0, 150))
def test_a_dial_never_shows_less_than_the_truth(shown: float) -> None:
    least, most = dial_range_kmh(shown)
    assert 0 <= least <= most == shown
