"""How the chance of passing moved from session to session."""

from __future__ import annotations

import pytest

from app.rules.progress.journey import MOST_STOPS, journey
from app.rules.progress.model import fold
from app.rules.progress.prospects import School, rough_chance
from app.rules.progress.recalibration import Recalibration
from tests.rules.progress.made import rides
from tests.rules.progress.test_prospects import MODEL, PARTS, SCHOOL

RIDDEN = rides("01 11 111")


def test_each_session_has_the_chance_right_after_its_last_ride() -> None:
    stops = journey(reversed(RIDDEN), SCHOOL, {})
    assert [(stop.session_id, stop.rides) for stop in stops] == [(1, 2), (2, 2), (3, 3)]
    assert [stop.at for stop in stops] == [RIDDEN[n].ridden_at for n in (1, 3, 6)]
    for stop, count in zip(stops, (2, 4, 7), strict=True):
        after = fold(RIDDEN[:count], MODEL)
        assert stop.chance == pytest.approx(rough_chance(after, PARTS, MODEL, {}))


def test_clean_sessions_raise_it() -> None:
    first, second, third = journey(RIDDEN, SCHOOL, {})
    assert first.chance < second.chance < third.chance


def test_real_results_move_every_point() -> None:
    told = Recalibration(shift=1.0, slope=1.2, rests_on=9)
    moved = journey(RIDDEN, School(PARTS, MODEL, {}, told), {})
    assert [stop.chance for stop in moved] == pytest.approx(
        [told.of(stop.chance) for stop in journey(RIDDEN, SCHOOL, {})]
    )


def test_only_the_last_sessions_are_told() -> None:
    many = rides(" ".join("1" * (MOST_STOPS + 5)))
    stops = journey(many, SCHOOL, {})
    assert [stop.session_id for stop in stops] == list(range(6, MOST_STOPS + 6))


def test_without_a_ride_there_is_no_movement() -> None:
    assert journey([], SCHOOL, {}) == ()
