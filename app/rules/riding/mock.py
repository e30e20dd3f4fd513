"""A mock test: what it asks for in this yard, what is ridden next, and which rides belong to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from app.rules.riding.findings import RiddenExercise
from app.rules.riding.marking import SpeedResult
from app.rules.riding.recording import NewRide
from app.rules.riding.syllabus import Manoeuvre, Variant
from app.rules.riding.values import Side
from app.rules.riding.verdict import MarkingSheet, SheetExercise, exercise_failed
from app.rules.yards.area import YardFacts, why_not_rideable

ANOTHER_REASON = "Another reason"
STOP_REASONS = (
    "Not safe to go on",
    "The rider asked to stop",
    "Weather or surface",
    "Trouble with the bike",
    "Out of time",
    ANOTHER_REASON,
)
"""Why a mock test is stopped; our own list."""

NO_SIDE = "Choose the side of the avoidance."


@dataclass(frozen=True, slots=True)
class NewMockTest:
    """A mock test as it begins; ``side`` is None where the yard allows neither."""

    mock_test_id: UUID
    session_id: int
    student_id: int
    side: Side | None
    started_at: datetime


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """One exercise that a mock test asks for; ``left_out`` is why this yard does not allow it."""

    manoeuvre: str
    variant: str
    left_out: str | None


@dataclass(frozen=True, slots=True)
class Turn:
    """What is ridden next: ``number`` of ``out_of`` exercises, perhaps for the second time."""

    exercise: SheetExercise
    second_try: bool
    number: int
    out_of: int


@dataclass(frozen=True, slots=True)
class KeptTest:
    """What a ride is held against: whose test it is, its end, and its variants by id.

    ``lines`` hold the sentence for what is left out; ``ridden`` are the variants
    ridden already, each with whether it was the second try.
    """

    session_id: int
    student_id: int
    ended_at: datetime | None
    lines: Mapping[int, str | None]
    ridden: frozenset[tuple[int, bool]]


def open_sides(manoeuvres: Sequence[Manoeuvre], yard: YardFacts) -> tuple[Side, ...]:
    """The sides that the examiner can choose between here; none where the yard allows none."""
    return tuple(
        side
        for side in Side
        if any(
            variant.code == side.value and _why_not(each, variant, yard) is None
            for each in manoeuvres
            for variant in each.variants
        )
    )


def side_objection(side: Side | None, sides: Sequence[Side]) -> str | None:
    """Why a mock test cannot begin with this side, in a sentence; None where it can."""
    if sides and side is None:
        return NO_SIDE
    if side is not None and side not in sides:
        return f"This yard has no safe way out to the {side.value}. Load the page again."
    return None


def plan(
    manoeuvres: Sequence[Manoeuvre], yard: YardFacts, side: Side | None
) -> tuple[PlannedLine, ...]:
    """The whole syllabus in order, each manoeuvre one way.

    Left or right is the examiner's choice (common practice, no source).
    """
    ridden = (each for each in manoeuvres if each.variants)
    return tuple(_planned(each, yard, side) for each in ridden)


def _planned(each: Manoeuvre, yard: YardFacts, side: Side | None) -> PlannedLine:
    chosen = [variant for variant in each.variants if side and variant.code == side.value]
    ways = chosen or each.variants
    reasons = [_why_not(each, variant, yard) for variant in ways]
    said = dict.fromkeys(reason for reason in reasons if reason)
    return PlannedLine(each.code, ways[0].code, " ".join(said) if all(reasons) else None)


def _why_not(each: Manoeuvre, variant: Variant, yard: YardFacts) -> str | None:
    return why_not_rideable(variant.code, yard, needs_speed_run=each.speed_run)


def next_turn(sheet: MarkingSheet, rides: Sequence[RiddenExercise]) -> Turn | None:
    """What is ridden next, in the order of the sheet; None when there is nothing left to ride.

    An exercise ridden too slowly is ridden again once, unless a serious or
    dangerous fault was seen in it; avoidance is not ridden after a failed emergency
    stop (both common practice, no source).
    """
    for number, line in enumerate(sheet.exercises, start=1):
        mine = [ride for ride in rides if ride.manoeuvre == line.code]
        if mine and _again_due(line, mine, sheet):
            return Turn(line, True, number, len(sheet.exercises))
        if not mine and not _skipped(line, rides, sheet):
            return Turn(line, False, number, len(sheet.exercises))
    return None


def _again_due(line: SheetExercise, mine: Sequence[RiddenExercise], sheet: MarkingSheet) -> bool:
    too_slow = mine[-1].speed.result is SpeedResult.RIDE_AGAIN
    return too_slow and not exercise_failed(line.code, mine, sheet)


def _skipped(line: SheetExercise, rides: Sequence[RiddenExercise], sheet: MarkingSheet) -> bool:
    if line.left_out:
        return True
    before = line.not_after_failed
    return before is not None and exercise_failed(before, rides, sheet)


def ride_objections(ride: NewRide, test: KeptTest | None) -> Iterator[str]:
    """Why a ride cannot be part of the mock test that it names, as sentences.

    The order of arrival does not matter: rides sent late are taken as long as they
    were ridden before the test ended.
    """
    if test is None:
        yield "This mock test is not known here. Send its beginning first."
    elif (ride.session_id, ride.student_id) != (test.session_id, test.student_id):
        yield "This mock test is another rider's."
    elif test.ended_at is not None and ride.ridden_at > test.ended_at:
        yield "This mock test has ended, so this ride is no part of it."
    else:
        yield from _about_line(ride, test)


def _about_line(ride: NewRide, test: KeptTest) -> Iterator[str]:
    if ride.variant_id not in test.lines:
        yield "This mock test does not ask for that manoeuvre."
    elif test.lines[ride.variant_id] is not None:
        yield f"That manoeuvre is left out of this mock test. {test.lines[ride.variant_id]}"
    elif (ride.variant_id, ride.second_try) in test.ridden:
        yield "That manoeuvre has been ridden in this mock test already."
