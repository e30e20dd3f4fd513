"""A practice plan is said plainly, with what it expects in tenths and no promise."""

from __future__ import annotations

from dataclasses import replace

import pytest

from app.rules.progress.plan_values import Block, Outlook, Rise, SitsOut, Wait
from app.rules.progress.plan_words import (
    AT_SPEED_FIRST,
    PLAN_CAUTION,
    WET_GROUND,
    WET_RUN,
    block_caution,
    block_words,
    cautions,
    outlook_words,
    put_off_words,
    sits_out_words,
    time_words,
    why_words,
)
from app.rules.progress.plans import draw_up, put
from app.rules.progress.priorities import CAUSE_WORDS, Cause
from tests.rules.progress.planned import (
    ALL_ROUND,
    CODES,
    EMERGENCY,
    OPTIONS,
    U_TURN,
    WHEEL,
    ground,
    rider,
)

RIDERS = {1: "Ana", 2: "Ben", 3: "Cy"}
BLOCK = Block(
    option=OPTIONS[U_TURN - 1],
    rounds=3,
    pinned=False,
    begins=0.0,
    set_out=3.0,
    minutes=10.5,
    rises=(
        Rise(1, 0.01, Cause.REFRESH),
        Rise(2, 0.03, Cause.LEAST_SURE),
        Rise(3, 0.02, Cause.LEAST_SURE),
    ),
    sits_out=(),
)


def test_a_block_is_said_with_its_rounds_and_minutes() -> None:
    names = {U_TURN: "U-turn"}
    assert block_words(BLOCK, names) == "U-turn, 3 rounds, 10.5 minutes with 3 to set out"
    short = replace(BLOCK, rounds=1, set_out=0.0, minutes=1.0)
    assert block_words(short, names) == "U-turn, 1 round, 1 minute"


def test_it_is_said_for_whom_a_block_is_those_who_gain_most_first() -> None:
    most, due = CAUSE_WORDS[Cause.LEAST_SURE], CAUSE_WORDS[Cause.REFRESH]
    assert why_words(BLOCK, RIDERS) == f"For Ben and Cy, {most}; for Ana, {due}."
    assert why_words(replace(BLOCK, rises=()), RIDERS) == ""


def test_who_sits_out_is_told_why() -> None:
    early, spared = SitsOut(3, Wait.TOO_EARLY, WHEEL), SitsOut(1, Wait.RULED_OUT)
    names = {WHEEL: "Wheel into the next bay", U_TURN: "U-turn"}
    assert sits_out_words(early, RIDERS, names) == (
        "Cy sits this one out: wheel into the next bay comes first."
    )
    assert sits_out_words(replace(early, first=U_TURN), RIDERS, names).endswith(
        ": U-turn comes first."
    )
    assert sits_out_words(spared, RIDERS, names) == (
        "Ana sits this one out: it is ruled out for them today."
    )


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (0.52, 0.68, "Ana: about 5 in 10 now; about 7 in 10 expected after this plan."),
        (0.66, 0.72, "Ana: about 7 in 10, and a little better after this plan."),
        (0.02, 0.21, "Ana: less than 1 in 10 now; about 2 in 10 expected after this plan."),
        (0.93, 0.931, "Ana: keeps what is there, more than 9 in 10."),
    ],
)
def test_what_is_expected_is_said_in_tenths(before: float, after: float, words: str) -> None:
    assert outlook_words(Outlook(1, before, after), "Ana") == words


def test_a_plan_is_advice_and_says_so() -> None:
    plan = draw_up(ground(60), [rider(1, ALL_ROUND)])
    assert cautions(plan) == (PLAN_CAUTION,)
    assert time_words(plan) == f"{plan.minutes:g} of 60 minutes planned"
    at_speed = draw_up(ground(60, OPTIONS[6:]), [rider(1, ALL_ROUND)])
    assert cautions(at_speed) == (AT_SPEED_FIRST, PLAN_CAUTION)


def test_a_wet_surface_is_said_with_what_it_puts_off() -> None:
    plan = draw_up(replace(ground(60), wet=True), [rider(1, ALL_ROUND)])
    assert cautions(plan) == (WET_GROUND, PLAN_CAUTION)
    said = "Put off to a drier day: controlled_stop; emergency_stop; avoidance; avoidance."
    assert put_off_words(plan, CODES) == said
    assert {block_caution(block, plan) for block in plan.blocks} == {""}
    wilful = put(plan, 0, EMERGENCY)
    assert block_caution(wilful.blocks[0], wilful) == WET_RUN
    assert cautions(wilful) == (WET_GROUND, AT_SPEED_FIRST, PLAN_CAUTION)


def test_a_dry_one_puts_nothing_off() -> None:
    plan = draw_up(ground(60), [rider(1, ALL_ROUND)])
    assert put_off_words(plan, CODES) == ""
