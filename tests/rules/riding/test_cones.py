"""The cone strip: a shape for every ride, and its words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.riding.cones import cone, ride_words
from app.rules.riding.marking import SpeedResult, judge_speed, mark
from app.rules.riding.values import Cone, Outcome, SeenFault, Severity, Side
from tests.rules.riding.strategies import fault_lists

NAMES = {"cone_touched": "Cone touched", "looked_down": "Looked down", "wobble": "Wobble"}
TOUCHED = SeenFault("cone_touched", Severity.SERIOUS, Side.LEFT)
WOBBLE = SeenFault("wobble", Severity.RIDING)


@pytest.mark.parametrize(
    ("outcome", "shape"),
    [
        (Outcome.CLEAN, Cone.STANDING),
        (Outcome.RIDING, Cone.LEANING),
        (Outcome.RIDE_AGAIN, Cone.LEANING),
        (Outcome.SERIOUS, Cone.FALLEN),
        (Outcome.DANGEROUS, Cone.FALLEN),
        (Outcome.UNMEASURED, Cone.OUTLINE),
    ],
)
def test_the_shape_carries_the_meaning(outcome: Outcome, shape: Cone) -> None:
    assert cone(outcome, struck_out=False) is shape


def test_a_ride_struck_out_is_an_outline_whatever_it_was() -> None:
    assert {cone(outcome, struck_out=True) for outcome in Outcome} == {Cone.OUTLINE}


def test_a_fallen_cone_says_what_fell_it_and_on_which_side() -> None:
    words = ride_words(Outcome.SERIOUS, [TOUCHED], NAMES)
    assert words == "fallen: cone touched on the left, serious"


def test_the_worst_fault_is_said_first() -> None:
    words = ride_words(Outcome.SERIOUS, [WOBBLE, TOUCHED], NAMES)
    assert words == "fallen: cone touched on the left, serious; wobble, riding"


def test_a_clean_ride_says_so_with_its_remark_and_speed() -> None:
    remark = SeenFault("looked_down", Severity.REMARK)
    words = ride_words(Outcome.CLEAN, [remark], NAMES, speed_kmh=51.0)
    assert words == "standing: clean; remark: looked down; 51 km/h (32 mph)"


def test_a_ride_that_was_only_too_slow_says_so() -> None:
    slow = SpeedResult.RIDING_FAULT
    assert ride_words(Outcome.RIDING, speed=slow, speed_kmh=48.5) == (
        "leaning: too slow, riding; 48.5 km/h (30 mph)"
    )
    assert ride_words(Outcome.SERIOUS, speed=SpeedResult.SERIOUS) == "fallen: too slow, serious"


def test_a_speed_is_said_beside_a_fault_that_is_as_bad_or_worse() -> None:
    again = SpeedResult.RIDE_AGAIN
    assert ride_words(Outcome.RIDE_AGAIN, [WOBBLE], NAMES, speed=again, speed_kmh=40.0) == (
        "leaning: too slow, to be ridden again; wobble, riding; 40 km/h (25 mph)"
    )
    assert ride_words(Outcome.RIDING, [WOBBLE], NAMES, speed=SpeedResult.RIDING_FAULT) == (
        "leaning: too slow, riding; wobble, riding"
    )
    assert ride_words(Outcome.SERIOUS, [TOUCHED], NAMES, speed=SpeedResult.RIDING_FAULT) == (
        "fallen: too slow, riding; cone touched on the left, serious"
    )


def test_outlines_say_why_they_are_empty() -> None:
    unknown = SpeedResult.NOT_MEASURED
    assert ride_words(Outcome.UNMEASURED, speed=unknown) == "outline: speed not measured"
    assert ride_words(Outcome.SERIOUS, [TOUCHED], NAMES, struck_out=True) == "outline: struck out"


def test_a_trade_word_keeps_its_capital_inside_a_sentence() -> None:
    names = {"over": "U-turn line crossed"}
    fault = SeenFault("over", Severity.SERIOUS)
    assert ride_words(Outcome.SERIOUS, [fault], names) == "fallen: U-turn line crossed, serious"


@given(fault_lists, st.none() | st.floats(0, 150), st.booleans(), st.booleans())
def test_every_ride_has_words_that_begin_with_its_shape(
    faults: tuple[SeenFault, ...], speed: float | None, second_try: bool, struck_out: bool
) -> None:
    judged = judge_speed(speed, 50.0, second_try)
    outcome = mark(faults, judged)
    words = ride_words(outcome, faults, NAMES, struck_out=struck_out, speed=judged.result)
    shape, said = words.split(": ", 1)
    assert shape == cone(outcome, struck_out).value
    assert said
