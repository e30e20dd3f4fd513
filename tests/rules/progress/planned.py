"""Riders and a ground for practice plans, made from the module 1 course of nine manoeuvres."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import strategies as st

from app.rules.progress.evidence import Evidence
from app.rules.progress.model import fold, start_variant
from app.rules.progress.parameters import shipped_parameters
from app.rules.progress.plan_riders import Brought, Course, trainee
from app.rules.progress.plan_values import Ground, Option, Plan, Trainee
from app.rules.progress.splits import Split
from app.rules.progress.standing import assess
from app.rules.progress.target import TargetRule

NOW = datetime(2026, 4, 1, 9, 0, tzinfo=UTC)
PARK, WHEEL, SLALOM, EIGHT, SLOW, U_TURN, STOP, EMERGENCY, LEFT, RIGHT = range(1, 11)
AVOIDANCE = 9
NAMES = "park wheel slalom figure_of_8 slow_ride u_turn controlled_stop emergency_stop"
CODES = dict(enumerate([*NAMES.split(), "avoidance", "avoidance"], start=1))
PARAMETERS = shipped_parameters(CODES)
COURSE = Course([*((n, (n,)) for n in range(1, 9)), (AVOIDANCE, (LEFT, RIGHT))])
MINUTES = (1.5, 2.0, 1.0, 1.5, 1.0, 1.0, 1.5, 2.0, 2.0, 2.0)
OPTIONS = tuple(
    Option(
        variant_id=variant,
        manoeuvre_id=min(variant, AVOIDANCE),
        code={LEFT: "left", RIGHT: "right"}.get(variant, "only"),
        place=min(variant, AVOIDANCE),
        minutes=MINUTES[variant - 1],
        speed_run=variant >= STOP,
    )
    for variant in range(1, 11)
)
HARD = Split(serious=0.4, again=0.0, rests_on=30.0)
SPLIT = Split(serious=0.25, again=0.0, rests_on=30.0)
SLOW_AT_TIMES = Split(serious=0.25, again=0.1, rests_on=30.0)
SPLITS = dict.fromkeys(CODES, SPLIT) | {U_TURN: HARD, EMERGENCY: SLOW_AT_TIMES}


def ground(minutes: float = 120.0, options: Sequence[Option] = OPTIONS) -> Ground:
    """A ground on which all of it may be ridden, if nothing else is said."""
    return Ground(minutes, tuple(options))


def ridden(records: dict[int, str], days_ago: int = 3) -> list[Evidence]:
    """Rides by variant, "1" for clean; the last of each so many days ago, two to a session."""
    made = []
    for variant, record in records.items():
        for place, letter in enumerate(record):
            sessions = (len(record) - 1 - place) // 2
            minutes = 40 * variant - place
            at = NOW - timedelta(days=days_ago + sessions, minutes=minutes)
            key = f"{variant}-{place}"
            made.append(Evidence(variant, 100 - sessions, at, key, letter == "1"))
    return made


def rider(number: int, records: dict[int, str], days_ago: int = 3) -> Trainee:
    """A rider with these rides, the standings judged by the rule as it is shipped."""
    state = fold(ridden(records, days_ago), PARAMETERS)
    standings = {}
    for variant in CODES:
        known = state.variants.get(variant) or start_variant(variant, PARAMETERS)
        standings[variant] = assess(known, state.general, TargetRule(), PARAMETERS, NOW).standing
    return trainee(Brought(number, state, SPLITS, standings), COURSE, PARAMETERS, NOW)


ALL_ROUND = dict.fromkeys(range(1, 11), "0110111")
WEAK_U_TURN = ALL_ROUND | {U_TURN: "0010010"}


RECORDS = st.dictionaries(st.sampled_from(list(CODES)), st.text("01", min_size=1, max_size=8))
RIDERS = st.lists(RECORDS, min_size=1, max_size=4).map(
    lambda records: [rider(number, record) for number, record in enumerate(records, start=1)]
)
GROUNDS = st.builds(
    Ground,
    minutes=st.integers(0, 150).map(float),
    options=st.sets(st.sampled_from(OPTIONS)).map(tuple),
    set_out=st.sampled_from([0.0, 2.5, 3.0, 8.0]),
    at_once=st.integers(1, 4),
    wet=st.booleans(),
)


def lawful(plan: Plan) -> None:
    """What holds for every plan, whoever drew it up or changed it."""
    assert plan.minutes <= plan.ground.minutes + 1e-9
    assert {block.option for block in plan.blocks} <= set(plan.ground.options)
    manoeuvres = [block.option.manoeuvre_id for block in plan.blocks]
    triples = zip(manoeuvres, manoeuvres[1:], manoeuvres[2:], strict=False)
    assert not any(one == two == three for one, two, three in triples)
    for before, after in pairwise(plan.blocks):
        assert after.begins == pytest.approx(before.begins + before.minutes)
    for outlook in plan.outlooks:
        assert outlook.after >= outlook.before - 1e-12


def variants(plan: Plan) -> list[int]:
    """The variants of a plan's blocks in their order."""
    return [block.option.variant_id for block in plan.blocks]


def weak_and_strong() -> list[Trainee]:
    """Two riders who differ in the U-turn alone."""
    return [rider(1, ALL_ROUND), rider(2, WEAK_U_TURN)]
