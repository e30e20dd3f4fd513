"""A plan in an address: there and back, and what is none."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from app.rules.progress.plan_values import Ground, Pick, Trainee
from app.rules.progress.plans import draw_up, drop, pin
from app.web.progress.plan_addresses import blocks_in, blocks_out, dropped_in, dropped_out
from tests.rules.progress.planned import GROUNDS, RIDERS


@settings(max_examples=15, deadline=None)
@given(on=GROUNDS, riders=RIDERS)
def test_a_plan_comes_back_from_its_address(on: Ground, riders: list[Trainee]) -> None:
    plan = draw_up(on, riders)
    if len(plan.blocks) > 1:
        plan = pin(drop(plan, 0), 0)
    assert blocks_in(blocks_out(plan)) == plan.picks
    assert dropped_in(dropped_out(plan)) == plan.left_out


def test_pinned_blocks_say_so() -> None:
    assert blocks_in("12x3.5x2p") == (Pick(12, 3), Pick(5, 2, pinned=True))
    assert blocks_in("none") == ()


@pytest.mark.parametrize(
    "text", ["", "x", "12", "12x0", "12x99", "9999999999x2", "1x2..1x2", "1x2p.p", "1x2." * 50]
)
def test_what_is_no_plan_is_none(text: str) -> None:
    assert blocks_in(text) is None


def test_what_is_no_variant_was_not_dropped() -> None:
    assert dropped_in("3.x.-1.99999999999.5") == {3, 5}
