"""Our units against pint, a units library that knows nothing of this project."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.yards.area import AREA_EACH_M2, SITE_FOR_TWO_M
from app.rules.yards.speed import gate_speed_kmh, kmh_from_mph, mph_from_kmh

UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()


@given(st.floats(0, 300))
def test_km_h_to_mph_agrees_with_pint(kmh: float) -> None:
    theirs = UNITS.Quantity(kmh, "kilometer / hour").to("mile / hour").magnitude
    assert mph_from_kmh(kmh) == pytest.approx(theirs, rel=1e-12)


@given(st.floats(0, 200))
def test_mph_to_km_h_agrees_with_pint(mph: float) -> None:
    theirs = UNITS.Quantity(mph, "mile / hour").to("kilometer / hour").magnitude
    assert kmh_from_mph(mph) == pytest.approx(theirs, rel=1e-12)


@given(st.floats(1, 100), st.floats(0.1, 60))
def test_a_timed_gate_agrees_with_pint(metres: float, seconds: float) -> None:
    theirs = (UNITS.Quantity(metres, "m") / UNITS.Quantity(seconds, "s")).to("km / hour")
    assert gate_speed_kmh(metres, seconds) == pytest.approx(theirs.magnitude, rel=1e-12)


def test_the_site_for_two_agrees_with_pint() -> None:
    # Source: conditions of appointment for training bodies: 80 ft by 30 ft for two.
    theirs = [UNITS.Quantity(feet, "foot").to("m").magnitude for feet in (80.0, 30.0)]
    assert list(SITE_FOR_TWO_M) == pytest.approx(theirs)
    each = UNITS.Quantity(1200.0, "foot ** 2").to("m ** 2").magnitude
    assert pytest.approx(each) == AREA_EACH_M2
