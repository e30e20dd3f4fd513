"""Practice plans: what may stand in one, and what it is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, product
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.progress.plan_chances import FINE, Chances
from app.rules.progress.plan_drawing import PATIENCE
from app.rules.progress.plan_numbers import reckoned
from app.rules.progress.plan_values import Ground, Pick, Trainee, Wait, allowed
from app.rules.progress.plans import draw_up, put, replan
from app.rules.progress.priorities import Cause
from app.rules.progress.readiness import Manoeuvre, pass_chance
from app.rules.progress.recalibration import recalibrate
from app.rules.yards.area import YardFacts
from tests.rules.progress.planned import (
    ALL_ROUND,
    CODES,
    EIGHT,
    EMERGENCY,
    GROUNDS,
    LEFT,
    OPTIONS,
    PARK,
    RECORDS,
    RIDERS,
    RIGHT,
    SLALOM,
    SLOW,
    STOP,
    U_TURN,
    WEAK_U_TURN,
    WHEEL,
    ground,
    lawful,
    rider,
    variants,
    weak_and_strong,
)


@settings(max_examples=60, deadline=None)
@given(GROUNDS, RIDERS)
def test_a_plan_keeps_to_the_minutes_the_ground_and_two_in_a_row(
    where: Ground, riders: Sequence[Trainee]
) -> None:
    plan = draw_up(where, riders)
    lawful(plan)
    assert plan == draw_up(where, riders)


@given(RIDERS)
@settings(max_examples=25, deadline=None)
def test_the_quick_sum_is_the_chance_that_readiness_tells(riders: Sequence[Trainee]) -> None:
    for one in riders:
        quick = Chances(one, FINE)
        whole = [
            Manoeuvre(part.manoeuvre_id, tuple(way.belief for way in part.ways))
            for part in one.parts
        ]
        assert quick.chance() == pytest.approx(pass_chance(whole, one.shared), abs=1e-12)
        tried = quick.tried(LEFT, 3)
        quick.ride(LEFT, 3)
        assert quick.chance() == pytest.approx(tried, abs=1e-12)


@given(RECORDS, st.sampled_from(list(CODES)), st.integers(1, 9), st.integers(1, 9))
@settings(max_examples=50, deadline=None)
def test_more_practice_never_lowers_a_chance(
    records: dict[int, str], variant: int, some: int, more: int
) -> None:
    quick = Chances(rider(1, records), FINE)
    before, after = quick.tried(variant, some), quick.tried(variant, some + more)
    assert quick.chance() <= before + 1e-12
    assert before <= after + 1e-12


def test_the_weakest_of_a_rider_gets_the_most_rides() -> None:
    plan = draw_up(ground(60), [rider(1, dict.fromkeys(CODES, "0111111") | {U_TURN: "0001000"})])
    rides = dict.fromkeys(CODES, 0)
    for block in plan.blocks:
        rides[block.option.variant_id] += block.rounds
    assert max(rides, key=lambda each: rides[each]) == U_TURN


def test_the_first_block_brings_most_for_its_time_of_all_that_could_be_first() -> None:
    """Against every other first block by the fine sum, but for a hundredth: it is chosen by the
    coarse one."""
    one = rider(1, dict.fromkeys(CODES, "0110111"), days_ago=1)
    first = draw_up(ground(120), [one]).blocks[0]
    worth = []
    for option, rounds in product(OPTIONS[:6], (2, 3, 4, 5)):
        block = replan(ground(60), [one], [Pick(option.variant_id, rounds)]).blocks[0]
        worth.append(block.rise / block.minutes**PATIENCE)
    assert first.rise / first.minutes**PATIENCE >= 0.99 * max(worth) > 1.2 * min(worth)


def _best_of_all(where: Ground, one: Trainee) -> float:
    """The largest rise of any plan of up to three blocks, no variant twice in a row."""
    picks = [Pick(option.variant_id, rounds) for option in where.options for rounds in (2, 3, 4, 5)]
    best = 0.0
    for blocks in (1, 2, 3):
        for chosen in product(picks, repeat=blocks):
            if all(before.variant_id != after.variant_id for before, after in pairwise(chosen)):
                plan = reckoned(where, (one,), chosen)
                if plan.minutes <= where.minutes and not plan.begins_at_speed:
                    best = max(best, plan.outlooks[0].after - plan.outlooks[0].before)
    return best


@pytest.mark.parametrize(
    ("minutes", "three"), [(18, (SLOW, LEFT, RIGHT)), (21, (SLALOM, EIGHT, U_TURN))]
)
def test_a_plan_brings_nearly_as_much_as_the_best_of_all_plans(
    minutes: int, three: tuple[int, ...]
) -> None:
    """Nine parts of ten, against every plan of up to three blocks that begins slowly."""
    one = rider(1, dict.fromkeys(CODES, "0110110") | {U_TURN: "001001"}, days_ago=1)
    where = ground(minutes, [OPTIONS[variant - 1] for variant in three])
    found = draw_up(where, [one]).outlooks[0]
    assert found.after - found.before >= 0.9 * _best_of_all(where, one)


def test_minutes_left_at_the_end_go_to_further_rounds() -> None:
    plan = draw_up(ground(120), weak_and_strong())
    shortest = min(2 * block.option.minutes for block in plan.blocks if block.rounds < 5)
    assert plan.ground.minutes - plan.minutes < shortest


def test_what_needs_a_refresh_gets_a_block_even_where_others_bring_more() -> None:
    records = dict.fromkeys(CODES, "00100") | {PARK: "1" * 12}
    one = rider(1, records, days_ago=30)
    refreshing = {w.variant_id for p in one.parts for w in p.ways if w.standing == "refresh"}
    assert refreshing == {PARK}
    for minutes in (9, 20, 60, 120):
        plan = draw_up(ground(minutes), [one])
        causes = [rise.cause for block in plan.blocks for rise in block.rises]
        assert Cause.REFRESH in causes


def test_a_run_at_speed_waits_for_a_slow_block_to_warm_up_on() -> None:
    one = rider(1, dict.fromkeys(CODES, "11111111") | {EMERGENCY: "00000", STOP: "0000"})
    plan = draw_up(ground(60), [one])
    assert not plan.begins_at_speed
    assert EMERGENCY in variants(plan)
    assert draw_up(ground(60, OPTIONS[6:]), [one]).begins_at_speed


def test_something_new_waits_for_what_comes_before_it_in_the_syllabus() -> None:
    plan = draw_up(ground(150), [rider(1, {PARK: "11", WHEEL: "01"})])
    first = {variant: variants(plan).index(variant) for variant in variants(plan)}
    order = [SLALOM, EIGHT, SLOW, U_TURN, STOP, EMERGENCY]
    assert [first[each] for each in order] == sorted(first[each] for each in order)
    assert min(first.get(LEFT, 99), first.get(RIGHT, 99)) > first[EMERGENCY]


def test_a_rider_for_whom_it_is_too_early_sits_out_and_the_others_ride() -> None:
    plan = put(draw_up(ground(), [rider(1, ALL_ROUND), rider(2, {PARK: "1"})]), 0, U_TURN)
    block = plan.blocks[0]
    assert [one.rider_id for one in block.rises] == [1]
    assert [(one.rider_id, one.why, one.first) for one in block.sits_out] == [
        (2, Wait.TOO_EARLY, WHEEL)
    ]
    assert block.minutes == 3.0 + 2 * 1.0


def test_a_variant_ruled_out_for_a_rider_is_not_ridden_by_them() -> None:
    spared = replace(rider(2, WEAK_U_TURN), ruled_out=frozenset({U_TURN}))
    plan = draw_up(ground(120), [rider(1, WEAK_U_TURN), spared])
    assert U_TURN in variants(plan)
    for block in plan.blocks:
        if block.option.variant_id == U_TURN:
            assert [one.why for one in block.sits_out] == [Wait.RULED_OUT]
            assert {one.rider_id for one in block.rises} == {1}


def test_a_yard_without_a_way_out_to_the_left_offers_no_avoidance_there() -> None:
    yard = YardFacts(125, 40, avoidance_left=False)
    assert {one.variant_id for one in OPTIONS} - {o.variant_id for o in allowed(OPTIONS, yard)} == {
        LEFT
    }
    short = YardFacts(60, 30, speed_run=False)
    assert not any(one.speed_run for one in allowed(OPTIONS, short))
    wet = allowed(OPTIONS, yard, frozenset({EMERGENCY}))
    assert {EMERGENCY, LEFT}.isdisjoint(one.variant_id for one in wet)


def test_riders_share_what_is_set_out_and_take_turns() -> None:
    plan = draw_up(ground(60), weak_and_strong())
    for block in plan.blocks:
        assert {one.rider_id for one in block.rises} == {1, 2}
        assert block.minutes == block.set_out + block.rounds * 2 * block.option.minutes
    together = draw_up(replace(ground(60), at_once=2), weak_and_strong())
    assert all(b.minutes == b.set_out + b.rounds * b.option.minutes for b in together.blocks)


def test_real_results_move_what_is_expected_of_a_plan() -> None:
    harsh = recalibrate([(0.7, False)] * 50)
    plain = draw_up(ground(60), [rider(1, ALL_ROUND)])
    moved = draw_up(ground(60), [replace(rider(1, ALL_ROUND), results=harsh)])
    assert moved.outlooks[0].before < plain.outlooks[0].before
    rises = sum(block.rise for block in moved.blocks)
    assert rises == pytest.approx(moved.outlooks[0].after - moved.outlooks[0].before)


def test_two_hours_for_four_riders_are_planned_in_less_than_a_blink() -> None:
    """50 ms of processor time, the best of five."""
    riders = [
        rider(1, ALL_ROUND),
        rider(2, WEAK_U_TURN),
        rider(3, {PARK: "11", WHEEL: "01", SLALOM: "0"}),
        rider(4, dict.fromkeys(CODES, "0101111111"), days_ago=30),
    ]
    taken = []
    for _ in range(5):
        begun = process_time()
        draw_up(ground(120), riders)
        taken.append(process_time() - begun)
    assert min(taken) < 0.05
