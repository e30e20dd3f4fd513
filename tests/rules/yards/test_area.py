"""Room to ride: how many at once, and what a yard can offer."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.yards.area import (
    YardFacts,
    rideable,
    riders_at_once,
    riders_by_area,
    why_not_rideable,
)

FOOT = 0.3048
sides = st.floats(1, 300)


def test_eighty_by_thirty_feet_is_room_for_two_either_way_round() -> None:
    assert riders_by_area(80 * FOOT, 30 * FOOT) == 2
    assert riders_by_area(30 * FOOT, 80 * FOOT) == 2


def test_a_site_written_down_to_a_tenth_of_a_metre_is_not_cheated_of_its_room() -> None:
    assert riders_by_area(24.4, 9.1) == 2
    assert riders_by_area(24.2, 9.1) == 1


def test_a_larger_site_is_room_for_more_in_proportion() -> None:
    assert riders_by_area(80 * FOOT, 60 * FOOT) == 4
    assert riders_by_area(80 * FOOT, 44 * FOOT) == 2


def test_a_long_strip_is_not_room_for_two() -> None:
    assert riders_by_area(300 * FOOT, 20 * FOOT) == 1


def test_a_yard_of_no_use_has_room_for_nobody() -> None:
    assert riders_by_area(5.0, 5.0) == 0


def test_one_instructor_may_have_four_however_large_the_site() -> None:
    # common practice, no source
    limit = riders_at_once(YardFacts(125.0, 40.0))
    assert (limit.riders, limit.by_ratio) == (4, 4)
    assert limit.by_area > 40
    assert limit.reason == "1 instructor may have 4 riders."


def test_a_small_site_holds_the_number_down_however_many_instructors() -> None:
    limit = riders_at_once(YardFacts(24.4, 9.2), instructors=3)
    assert (limit.riders, limit.reason) == (2, "The site has room for 2 riders at once.")
    assert riders_at_once(YardFacts(125.0, 40.0), instructors=0).riders == 0


@given(sides, sides, st.floats(0, 50))
def test_a_larger_site_never_has_room_for_fewer(length: float, width: float, more: float) -> None:
    assert riders_by_area(length + more, width) >= riders_by_area(length, width)


@pytest.mark.parametrize("left", [True, False])
@pytest.mark.parametrize("right", [True, False])
def test_a_yard_offers_only_the_sides_that_it_has_a_way_out_to(left: bool, right: bool) -> None:
    yard = YardFacts(100.0, 40.0, avoidance_left=left, avoidance_right=right)
    assert rideable("left", yard) is left
    assert rideable("right", yard) is right
    assert rideable("only", yard)


def test_a_yard_without_a_run_at_speed_rules_out_what_needs_one() -> None:
    yard = YardFacts(30.0, 20.0, speed_run=False)
    assert not rideable("left", yard, needs_speed_run=True)
    assert rideable("only", yard)


def test_what_cannot_be_ridden_says_why() -> None:
    yard = YardFacts(100.0, 40.0, avoidance_left=False)
    assert why_not_rideable("left", yard) == "This yard has no safe way out to the left."
    assert why_not_rideable("right", yard) is None
