"""The page marks a ride as the server does, so that a cone never changes its shape later."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from playwright.sync_api import Page

from app.rules.accounts.roles import Role
from app.rules.riding.cones import cone, ride_words
from app.rules.riding.findings import RiddenExercise
from app.rules.riding.marking import judge_speed, mark
from app.rules.riding.mock import next_turn
from app.rules.riding.values import SeenFault, Severity, Side
from app.rules.riding.verdict import MarkingSheet, SheetExercise
from app.rules.yards.speed import dial_range_kmh, gate_speed_kmh, speed_words
from tests.browser.conftest import Sitting
from tests.browser.devices import TABLET

pytestmark = pytest.mark.browser

SPEEDS = (None, 0.0, 27.9, 28.9, 29.0, 29.9, 30.0, 47.9, 48.0, 49.9, 49.96, 50.0, 51.4)
LEASTS = (None, 30.0, 50.0)
FAULTS: tuple[list[tuple[str, str, str | None]], ...] = (
    [],
    [("stall", "riding", None)],
    [("cone_touched", "serious", "left"), ("foot_down", "riding", None)],
    [("looked_down", "remark", None)],
    [("off_course", "dangerous", "right"), ("looked_down", "remark", None)],
)
NAMES = {"cone_touched": "Cone touched", "stall": "Stall", "looked_down": "Looked down"}
_IN_THE_PAGE = """async ([cases, kinds]) => {
  const m = await import("/static/js/yard/marking.js");
  return cases.map(([kmh, least, second, faults]) => {
    const judged = m.judge(kmh, least, second, 0.05);
    const outcome = m.mark(faults, judged);
    return [outcome, m.coneOf(outcome, false), m.said(outcome, faults, kmh, kinds, judged)];
  });
}"""


def by_the_rules(kmh: Any, least: Any, second: bool, faults: Any) -> list[str]:
    seen = [SeenFault(k, Severity(s), Side(side) if side else None) for k, s, side in faults]
    judged = judge_speed(kmh, least, second)
    outcome = mark(seen, judged)
    words = ride_words(outcome, seen, NAMES, speed=judged.result, speed_kmh=kmh)
    return [outcome.value, cone(outcome, False).value, words.partition(": ")[2]]


@pytest.fixture
def yard(sit_down: Sitting) -> Page:
    """Any page of the app."""
    return sit_down(Role.INSTRUCTOR, TABLET)


def test_every_case_comes_to_the_same(yard: Page) -> None:
    cases = list(product(SPEEDS, LEASTS, (False, True), FAULTS))
    plain = [
        [kmh, least, second, [{"kind": k, "severity": s, "side": side} for k, s, side in faults]]
        for kmh, least, second, faults in cases
    ]
    kinds = {code: {"name": name} for code, name in NAMES.items()}
    found = yard.evaluate(_IN_THE_PAGE, [plain, kinds])
    assert found == [by_the_rules(*case) for case in cases]


def test_speeds_are_written_and_reckoned_the_same(yard: Page) -> None:
    speeds = [49.96, 50.0, 41.8, 0.0, 100.04]
    words = yard.evaluate(
        """async (speeds) => {
          const m = await import("/static/js/yard/marking.js");
          return speeds.map(m.speedWords);
        }""",
        speeds,
    )
    assert words == [speed_words(speed) for speed in speeds]
    gate, dial = yard.evaluate(
        """async () => {
          const m = await import("/static/js/yard/marking.js");
          return [m.gateKmh(7.5, 0.55), m.dialWords(50)];
        }"""
    )
    assert gate <= gate_speed_kmh(7.5, 0.55) < gate + 0.1
    least, most = dial_range_kmh(50)
    assert f"{int(least * 10) / 10} to {most}" in dial
    assert "41.8 to 50 km/h" in dial


_EXERCISES = (("slalom", None, None), ("stop", 50.0, None), ("left", 50.0, "stop"))
"""Each by its code, with its minimum in km/h and what it is not ridden after."""
_TURNS = """async (tests) => {
  const m = await import("/static/js/yard/mock_model.js");
  return tests.map(([lines, items]) => {
    const data = { test: "t", share: 0.05, kinds: {}, rides: [], struck: [], lines };
    const turn = m.turnOf(data, m.ridesOf(data, items));
    return turn && [turn.line.of, turn.second, turn.number];
  });
}"""
Tried = list[tuple[str, float | None, str | None]]


def _tests() -> list[tuple[bool, Tried]]:
    """Tests of three exercises, each not ridden, once or twice, with and without the first."""
    slow: Tried = [("", 40.0, None)]
    once: list[Tried] = [
        [("", kmh, fault)] for kmh in (40.0, 48.0, 52.0) for fault in (None, "serious")
    ]
    timed: list[Tried] = [[], *once, *([*slow, *each] for each in once)]
    plain: list[Tried] = [[], [("", None, None)], [("", None, "riding")]]
    ways = product((False, True), plain, timed, timed)
    return [(left_out, _named(*tries)) for left_out, *tries in ways]


def _named(*tries: Tried) -> Tried:
    codes = [code for code, _, _ in _EXERCISES]
    return [
        (code, kmh, fault)
        for code, mine in zip(codes, tries, strict=True)
        for _, kmh, fault in mine
    ]


def _by_the_rule(left_out: bool, tried: Tried) -> list[Any] | None:
    leasts = {code: least for code, least, _ in _EXERCISES}
    lines = tuple(
        SheetExercise(code, code, after, "Left out." if left_out and code == "slalom" else None)
        for code, _, after in _EXERCISES
    )
    rides: list[RiddenExercise] = []
    for code, kmh, fault in tried:
        second = any(ride.manoeuvre == code for ride in rides)
        seen = (SeenFault("stall", Severity(fault)),) if fault else ()
        rides.append(RiddenExercise(code, seen, judge_speed(kmh, leasts[code], second)))
    turn = next_turn(MarkingSheet(lines, 5, {"stall": "Stall"}), rides)
    return [turn.exercise.code, turn.second_try, turn.number] if turn else None


def _in_the_page(left_out: bool, tried: Tried) -> list[Any]:
    lines = [
        {"variant": code, "name": code, "of": code, "least": least, "not_after": after,
         "left_out": left_out and code == "slalom"}
        for code, least, after in _EXERCISES
    ]  # fmt: skip
    items: list[Any] = []
    for number, (code, kmh, fault) in enumerate(tried):
        second = any(each["item"]["variant"] == code for each in items)
        faults = [{"kind": "stall", "severity": fault, "side": None}] if fault else []
        ride = {"kind": "ride", "id": str(number), "mock_test": "t", "variant": code,
                "second_try": second, "speed_kmh": kmh, "faults": faults}  # fmt: skip
        items.append({"state": "waiting", "item": ride})
    return [lines, items]


def test_what_is_ridden_next_in_a_mock_test_is_the_same(yard: Page) -> None:
    tests = _tests()
    assert len(tests) == 2 * 3 * 13 * 13
    expected = [_by_the_rule(*each) for each in tests]
    assert len({str(each) for each in expected}) >= 6
    assert yard.evaluate(_TURNS, [_in_the_page(*each) for each in tests]) == expected
