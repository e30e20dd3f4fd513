"""Riders and a ground for practice plans, made from the module 1 course of nine manoeuvres."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from app.rules.progress.evidence import Evidence
from app.rules.progress.model import fold, start_variant
from app.rules.progress.parameters import shipped_parameters
from app.rules.progress.plan_riders import Brought, Course, trainee
from app.rules.progress.plan_values import Ground, Option, Trainee
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
