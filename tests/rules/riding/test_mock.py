"""A mock test: what a yard allows of it, what comes next, and which rides belong to it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.riding.findings import FindingCode, RiddenExercise
from app.rules.riding.marking import judge_speed
from app.rules.riding.mock import (
    KeptTest,
    next_turn,
    open_sides,
    plan,
    ride_objections,
    side_objection,
)
from app.rules.riding.recording import NewRide
from app.rules.riding.values import SeenFault, Severity, Side
from app.rules.riding.verdict import MarkingSheet, ModuleResult, judge_test, marking_sheet
from app.rules.yards.area import YardFacts
from tests.rules.riding.shipped import shipped_syllabus
from tests.rules.riding.strategies import CODES, fault_lists, speeds

SYLLABUS = shipped_syllabus()
SHEET = marking_sheet(SYLLABUS)
BIG = YardFacts(130, 45)
NO_RUN = replace(BIG, speed_run=False)
RIGHT_ONLY = replace(BIG, avoidance_left=False)
NO_WAY_OUT = replace(BIG, avoidance_left=False, avoidance_right=False)
TIMED = ("emergency_stop", "avoidance")
TOUCHED = SeenFault("cone_touched", Severity.SERIOUS, Side.LEFT)
STALL = SeenFault("stall", Severity.RIDING)
NOW = datetime(2026, 11, 26, 9, 0, tzinfo=UTC)


def ridden(
    code: str, *faults: SeenFault, kmh: float = 51.0, second: bool = False
) -> RiddenExercise:
    """A ride, at a speed in km/h where the exercise has a minimum."""
    minimum = 50.0 if code in TIMED else None
    return RiddenExercise(code, faults, judge_speed(kmh if minimum else None, minimum, second))


def up_to(code: str) -> list[RiddenExercise]:
    """Clean rides of everything before an exercise."""
    return [ridden(each) for each in CODES[: CODES.index(code)]]


def after(rides: list[RiddenExercise], sheet: MarkingSheet = SHEET) -> tuple[str, bool] | None:
    """What is ridden next, and whether for the second time."""
    turn = next_turn(sheet, rides)
    return None if turn is None else (turn.exercise.code, turn.second_try)


def left_out(*codes: str) -> MarkingSheet:
    """The sheet with exercises that a yard rules out."""
    lines = (replace(e, left_out="No room." if e.code in codes else None) for e in SHEET.exercises)
    return replace(SHEET, exercises=tuple(lines))


@pytest.mark.parametrize(
    ("yard", "sides"),
    [(BIG, tuple(Side)), (RIGHT_ONLY, (Side.RIGHT,)), (NO_RUN, ()), (NO_WAY_OUT, ())],
)
def test_the_sides_are_those_that_the_yard_allows(yard: YardFacts, sides: tuple[Side, ...]) -> None:
    assert open_sides(SYLLABUS.manoeuvres, yard) == sides


@pytest.mark.parametrize(
    ("side", "sides", "fits"),
    [
        (Side.LEFT, tuple(Side), True),
        (None, tuple(Side), False),
        (Side.LEFT, (Side.RIGHT,), False),
        (Side.LEFT, (), False),
        (None, (), True),
    ],
)
def test_a_side_is_needed_where_there_is_one(
    side: Side | None, sides: tuple[Side, ...], fits: bool
) -> None:
    assert (side_objection(side, sides) is None) == fits


@pytest.mark.parametrize("side", list(Side))
def test_the_plan_is_the_whole_syllabus_in_order_one_way_each(side: Side) -> None:
    lines = plan(SYLLABUS.manoeuvres, BIG, side)
    assert tuple(line.manoeuvre for line in lines) == CODES
    assert [line.variant for line in lines] == ["only"] * 8 + [side.value]
    assert not any(line.left_out for line in lines)


def test_without_a_run_at_speed_three_are_left_out() -> None:
    lines = plan(SYLLABUS.manoeuvres, NO_RUN, None)
    assert {line.manoeuvre: line.left_out for line in lines[6:]} == dict.fromkeys(
        ("controlled_stop", *TIMED), "This yard has no room for the run at speed."
    )


def test_without_any_way_out_avoidance_alone_is_left_out() -> None:
    lines = plan(SYLLABUS.manoeuvres, NO_WAY_OUT, None)
    assert [line.manoeuvre for line in lines if line.left_out] == ["avoidance"]
    assert lines[-1].left_out == (
        "This yard has no safe way out to the left. This yard has no safe way out to the right."
    )


def test_everything_comes_once_in_order() -> None:
    for code in CODES:
        assert after(up_to(code)) == (code, False)
    assert after([*up_to("avoidance"), ridden("avoidance")]) is None


def test_the_turn_says_how_far_it_is() -> None:
    turn = next_turn(SHEET, up_to("slalom"))
    assert turn is not None
    assert (turn.number, turn.out_of) == (3, 9)


@pytest.mark.parametrize("code", TIMED)
def test_too_slow_is_ridden_again_once(code: str) -> None:
    first = [*up_to(code), ridden(code, kmh=44)]
    assert after(first) == (code, True)
    assert after([*first, ridden(code, kmh=51, second=True)]) != (code, True)
    assert after([*first, ridden(code, kmh=44, second=True)]) is None


def test_within_the_allowance_nothing_is_ridden_again() -> None:
    assert after([*up_to("emergency_stop"), ridden("emergency_stop", kmh=48)]) == (
        "avoidance",
        False,
    )


def test_a_serious_fault_and_too_slow_gives_no_second_try() -> None:
    rides = [*up_to("emergency_stop"), ridden("emergency_stop", TOUCHED, kmh=44)]
    assert after(rides) is None
    verdict = judge_test(rides, SHEET)
    assert FindingCode.RIDE_AGAIN_DUE not in [note.code for note in verdict.notes]


def test_avoidance_is_not_ridden_after_a_failed_emergency_stop_only() -> None:
    before = up_to("emergency_stop")
    assert after([*before, ridden("emergency_stop", TOUCHED)]) is None
    assert after([*before, ridden("emergency_stop", STALL)]) == ("avoidance", False)


def test_what_is_left_out_is_passed_over() -> None:
    sheet = left_out("controlled_stop", "emergency_stop")
    assert after(up_to("controlled_stop"), sheet) == ("avoidance", False)


def test_a_manoeuvre_taken_back_in_the_middle_comes_next() -> None:
    rides = [ride for ride in up_to("u_turn") if ride.manoeuvre != "slalom"]
    assert after(rides) == ("slalom", False)


def test_a_test_with_something_left_out_never_passes_but_can_fail() -> None:
    sheet, rides = left_out(*TIMED), up_to("emergency_stop")
    partial = judge_test(rides, sheet)
    assert (partial.result, sheet.is_whole) == (ModuleResult.PARTIAL, False)
    assert partial.sentence == "Not the whole test, 2 exercises left out: no faults in the rest."
    assert [reason.sentence for reason in partial.reasons] == [
        "Emergency stop: left out. No room.",
        "Hazard avoidance: left out. No room.",
    ]
    failed = judge_test([*rides[1:], ridden("park", TOUCHED)], sheet)
    assert failed.result is ModuleResult.FAILED
    assert judge_test(rides[1:], sheet).result is ModuleResult.INCOMPLETE


@given(st.lists(st.tuples(fault_lists, speeds), min_size=20, max_size=20))
def test_following_the_turns_always_comes_to_an_end_with_a_verdict(
    draws: list[tuple[tuple[SeenFault, ...], float]],
) -> None:
    rides: list[RiddenExercise] = []
    for faults, kmh in draws:
        turn = next_turn(SHEET, rides)
        if turn is None:
            break
        rides.append(ridden(turn.exercise.code, *faults, kmh=kmh, second=turn.second_try))
    assert next_turn(SHEET, rides) is None
    assert judge_test(rides, SHEET).result in (ModuleResult.PASSED, ModuleResult.FAILED)


KEPT = KeptTest(1, 2, None, {10: None, 11: "No room."}, frozenset())
RIDE = NewRide(UUID(int=1), 1, 2, 10, NOW, mock_test_id=UUID(int=9))


@pytest.mark.parametrize(
    ("ride", "test", "said"),
    [
        (RIDE, None, "not known here"),
        (replace(RIDE, session_id=5), KEPT, "another rider's"),
        (replace(RIDE, student_id=5), KEPT, "another rider's"),
        (RIDE, replace(KEPT, ended_at=NOW - timedelta(seconds=1)), "has ended"),
        (replace(RIDE, variant_id=12), KEPT, "does not ask for"),
        (replace(RIDE, variant_id=11), KEPT, "left out of this mock test. No room."),
        (RIDE, replace(KEPT, ridden=frozenset({(10, False)})), "ridden in this mock test already"),
    ],
)
def test_a_ride_that_is_no_part_of_it_is_refused(
    ride: NewRide, test: KeptTest | None, said: str
) -> None:
    (sentence,) = ride_objections(ride, test)
    assert said in sentence


@pytest.mark.parametrize(
    ("ride", "test"),
    [
        (RIDE, KEPT),
        (RIDE, replace(KEPT, ended_at=NOW)),
        (replace(RIDE, second_try=True), replace(KEPT, ridden=frozenset({(10, False)}))),
    ],
)
def test_a_ride_that_is_part_of_it_is_taken_however_late(ride: NewRide, test: KeptTest) -> None:
    assert list(ride_objections(ride, test)) == []
