"""The page marks a ride as the server does, so that a cone never changes its shape later."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from playwright.sync_api import Page

from app.rules.accounts.roles import Role
from app.rules.riding.cones import cone, ride_words
from app.rules.riding.marking import judge_speed, mark
from app.rules.riding.values import SeenFault, Severity, Side
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
    const outcome = m.mark(faults, m.judge(kmh, least, second, 0.05));
    return [outcome, m.coneOf(outcome, false), m.said(outcome, faults, kmh, kinds)];
  });
}"""


def by_the_rules(kmh: Any, least: Any, second: bool, faults: Any) -> list[str]:
    seen = [SeenFault(k, Severity(s), Side(side) if side else None) for k, s, side in faults]
    outcome = mark(seen, judge_speed(kmh, least, second))
    words = ride_words(outcome, seen, NAMES, speed_kmh=kmh)
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
