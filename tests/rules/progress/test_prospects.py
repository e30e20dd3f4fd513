"""From a student's state to the chance of passing."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.rules.progress.model import fold, start
from app.rules.progress.parameters import shipped_parameters
from app.rules.progress.prospects import School, prospects, rough_chance, splits
from app.rules.progress.splits import FaultCounts, split
from tests.rules.progress.made import FIRST_DAY, rides

PARTS = ((1, (1,)), (2, (2, 3)))
MODEL = shipped_parameters({1: "slalom", 2: "avoidance", 3: "avoidance"})
SCHOOL = School(PARTS, MODEL, {})
RIDDEN = fold([*rides("111 111"), *rides("111 11", 2), *rides("11 1", 3)], MODEL)
LAST = RIDDEN.general.last_at or FIRST_DAY


def test_the_rough_chance_is_the_chance_right_after_the_last_ride() -> None:
    rough = rough_chance(RIDDEN, PARTS, MODEL, {})
    assert rough == pytest.approx(prospects(RIDDEN, SCHOOL, {}, LAST).chance)
    assert rough > prospects(RIDDEN, SCHOOL, {}, LAST + timedelta(days=60)).chance


def test_before_any_ride_there_is_a_chance_too() -> None:
    new = start(MODEL)
    assert 0.0 < prospects(new, SCHOOL, {}, LAST).chance < rough_chance(RIDDEN, PARTS, MODEL, {})


def test_without_a_test_there_is_none() -> None:
    assert rough_chance(RIDDEN, (), MODEL, {}) == 0.0


def test_the_variants_of_a_manoeuvre_share_their_faults() -> None:
    own = {2: FaultCounts(serious=3), 3: FaultCounts(riding=1)}
    school = {2: FaultCounts(serious=5, riding=20), 3: FaultCounts(serious=1)}
    found = splits(PARTS, school, own)
    assert found[2] == found[3] == split(FaultCounts(6, 0, 20), FaultCounts(3, 0, 1))
    assert found[1] == split(FaultCounts(), FaultCounts())


def test_a_student_whose_faults_are_grave_has_the_smaller_chance() -> None:
    grave = rough_chance(RIDDEN, PARTS, MODEL, {1: FaultCounts(serious=9)})
    mild = rough_chance(RIDDEN, PARTS, MODEL, {1: FaultCounts(riding=9)})
    assert grave < mild
