"""What an instructor does to a plan, and how the numbers follow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.progress.plan_values import Ground, Plan, Trainee
from app.rules.progress.plans import allow_again, draw_up, drop, move, pin, put, refill
from app.rules.refusal import Refused
from tests.rules.progress.planned import (
    EMERGENCY,
    GROUNDS,
    LEFT,
    OPTIONS,
    PARK,
    RIDERS,
    RIGHT,
    STOP,
    ground,
    lawful,
    variants,
    weak_and_strong,
)

STEPS = st.lists(
    st.tuples(st.sampled_from(["move", "drop", "pin", "put", "refill"]), *[st.integers(0, 9)] * 2),
    max_size=6,
)


@settings(max_examples=60, deadline=None)
@given(GROUNDS, RIDERS, STEPS)
def test_whatever_the_instructor_does_a_plan_stays_lawful(
    where: Ground, riders: Sequence[Trainee], steps: Sequence[tuple[str, int, int]]
) -> None:
    plan = draw_up(where, riders)
    for step, one, other in steps:
        kept = [pick for pick in plan.picks if pick.pinned]
        try:
            plan = _stepped(plan, step, one, other)
        except Refused:
            continue
        lawful(plan)
        if step == "refill":
            assert [pick for pick in plan.picks if pick.pinned] == kept


def _stepped(plan: Plan, step: str, one: int, other: int) -> Plan:
    match step:
        case "move":
            return move(plan, one, other)
        case "drop":
            return drop(plan, one)
        case "pin":
            return pin(plan, one, pinned=other > 2)
        case "put":
            return put(plan, one, other + 1)
        case _:
            return refill(plan)


def test_the_second_of_two_blocks_of_one_manoeuvre_costs_no_set_out() -> None:
    empty = draw_up(ground(0), weak_and_strong())
    plan = put(put(replace(empty, ground=ground(60)), 0, RIGHT), 0, LEFT)
    assert [block.set_out for block in plan.blocks] == [3.0, 0.0]


def test_a_third_of_one_manoeuvre_in_a_row_is_refused() -> None:
    plan = put(
        put(replace(draw_up(ground(0), weak_and_strong()), ground=ground(60)), 0, RIGHT), 0, LEFT
    )
    with pytest.raises(Refused, match="in a row"):
        put(plan, 1, LEFT)


def test_a_moved_block_keeps_its_rounds_and_the_numbers_follow() -> None:
    plan = draw_up(ground(120), weak_and_strong())
    moved = move(plan, 0, 2)
    assert moved.blocks[2].option == plan.blocks[0].option
    assert moved.blocks[0].begins == 0.0
    assert moved.outlooks[0].before == plan.outlooks[0].before


def test_a_dropped_variant_leaves_its_minutes_free_and_does_not_come_back() -> None:
    plan = draw_up(ground(120), weak_and_strong())
    dropped = drop(plan, 0)
    gone = plan.blocks[0].option.variant_id
    assert dropped.minutes < plan.minutes
    assert all(d.after < p.after for d, p in zip(dropped.outlooks, plan.outlooks, strict=True))
    loose = replace(dropped, blocks=())
    assert gone not in variants(refill(loose))
    assert gone in variants(refill(allow_again(loose, gone)))


def test_a_pinned_block_stays_when_the_rest_is_drawn_up_anew() -> None:
    plan = pin(put(draw_up(ground(120), weak_and_strong()), 1, PARK, rounds=3), 3)
    again = refill(plan)
    assert again.picks[1] == plan.picks[1]
    assert again.picks[3] == plan.picks[3]
    assert not pin(plan, 1, pinned=False).blocks[1].pinned


def test_pinned_blocks_that_take_too_long_are_refused_and_others_give_way() -> None:
    plan = draw_up(ground(30), weak_and_strong())
    fuller = put(plan, 0, PARK, rounds=4)
    assert fuller.blocks[0].rounds == 4
    assert fuller.minutes <= 30
    with pytest.raises(Refused, match="pinned blocks take longer"):
        put(plan, 0, PARK, rounds=40)


def test_what_may_not_be_ridden_here_is_refused() -> None:
    plan = draw_up(ground(60, OPTIONS[:6]), weak_and_strong())
    with pytest.raises(Refused, match="cannot be ridden here"):
        put(plan, 0, LEFT)
    with pytest.raises(Refused, match="no such block"):
        move(plan, 99, 0)
    with pytest.raises(Refused, match="at least one round"):
        put(plan, 0, PARK, rounds=0)


def wet(minutes: float = 120.0) -> Plan:
    """A plan for a wet yard."""
    return draw_up(replace(ground(minutes), wet=True), weak_and_strong())


def test_on_a_wet_surface_runs_at_speed_are_put_off() -> None:
    dry = draw_up(ground(120), weak_and_strong())
    assert any(block.option.speed_run for block in dry.blocks)
    assert dry.put_off == ()
    plan = wet()
    assert plan.blocks
    assert not any(block.option.speed_run for block in plan.blocks)
    assert [one.variant_id for one in plan.put_off] == [STOP, EMERGENCY, LEFT, RIGHT]


def test_one_that_the_instructor_puts_in_stays_when_the_plan_is_filled_up() -> None:
    plan = refill(put(wet(), 2, EMERGENCY))
    assert [each for each in variants(plan) if each >= STOP] == [EMERGENCY]
    assert [one.variant_id for one in plan.put_off] == [STOP, LEFT, RIGHT]
    assert [one.variant_id for one in drop(plan, variants(plan).index(EMERGENCY)).put_off] == [
        STOP,
        LEFT,
        RIGHT,
    ]


@settings(max_examples=40, deadline=None)
@given(GROUNDS, RIDERS)
def test_no_run_at_speed_is_ever_drawn_up_for_a_wet_surface(
    where: Ground, riders: Sequence[Trainee]
) -> None:
    plan = draw_up(replace(where, wet=True), riders)
    assert not any(block.option.speed_run for block in plan.blocks)
    lawful(plan)
