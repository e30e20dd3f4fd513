"""What went wrong most often."""

from __future__ import annotations

from app.rules.progress.tallies import tallies
from app.rules.progress.words import FaultTally
from app.rules.riding.marking import SpeedResult
from app.rules.riding.values import SeenFault, Severity, Side

NAMES = {"cone_touched": "Cone touched", "wobble": "Wobble", "looked_down": "Looked down"}
LEFT = SeenFault("cone_touched", Severity.SERIOUS, Side.LEFT)
RIGHT = SeenFault("cone_touched", Severity.SERIOUS, Side.RIGHT)
WOBBLE = SeenFault("wobble", Severity.RIDING)
MET = SpeedResult.MET
REMARK = SeenFault("looked_down", Severity.REMARK)


def test_the_most_frequent_comes_first_with_its_sides() -> None:
    rides = [
        (MET, [WOBBLE]),
        (MET, [LEFT, WOBBLE]),
        (MET, [LEFT]),
        (MET, [RIGHT]),
    ]
    assert tallies(rides, NAMES) == (
        FaultTally("cone touched", 3, left=2, right=1),
        FaultTally("wobble", 2),
    )


def test_of_equally_frequent_ones_the_graver_comes_first() -> None:
    rides = [(MET, [WOBBLE]), (MET, [RIGHT])]
    assert [tally.name for tally in tallies(rides, NAMES)] == ["cone touched", "wobble"]


def test_a_remark_is_no_fault() -> None:
    assert tallies([(MET, [REMARK])], NAMES) == ()


def test_a_missed_minimum_speed_counts() -> None:
    rides = [
        (SpeedResult.RIDE_AGAIN, []),
        (SpeedResult.SERIOUS, [WOBBLE]),
        (SpeedResult.RIDING_FAULT, [LEFT]),
        (SpeedResult.MET, [LEFT]),
    ]
    assert tallies(rides, NAMES)[0] == FaultTally("too slow", 3)


def test_a_speed_that_was_not_measured_is_not_slow() -> None:
    assert tallies([(SpeedResult.NOT_MEASURED, [])], NAMES) == ()


def test_only_as_many_as_asked_are_told() -> None:
    rides = [(MET, [LEFT, WOBBLE]), (SpeedResult.RIDING_FAULT, [])]
    assert len(tallies(rides, NAMES)) == 2
    assert len(tallies(rides, NAMES, most=9)) == 3
