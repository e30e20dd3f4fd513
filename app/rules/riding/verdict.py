"""A whole module 1 test: its verdict by the published pass rule, with the reasons for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from app.rules.riding.findings import (
    Finding,
    FindingCode,
    RiddenExercise,
    fault_findings,
    open_finding,
    repeated_findings,
    ride_findings,
)
from app.rules.riding.syllabus import Syllabus
from app.rules.riding.values import SeenFault
from app.rules.words import count_words


class ModuleResult(StrEnum):
    """What a whole test came to."""

    PASSED = "passed"
    FAILED = "failed"
    INCOMPLETE = "incomplete"
    PARTIAL = "partial"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class SheetExercise:
    """One line of the marking sheet; ``not_after_failed`` as in the syllabus.

    ``left_out`` is a sentence where the yard rules the exercise out.
    """

    code: str
    name: str
    not_after_failed: str | None = None
    left_out: str | None = None


@dataclass(frozen=True, slots=True)
class MarkingSheet:
    """What a verdict needs of a syllabus: the exercises in order, names, and the pass rule."""

    exercises: tuple[SheetExercise, ...]
    most_riding_faults: int
    fault_names: Mapping[str, str] = field(default_factory=dict, hash=False)

    @property
    def is_whole(self) -> bool:
        """Whether nothing of the test is left out."""
        return not any(line.left_out for line in self.exercises)


@dataclass(frozen=True, slots=True)
class ModuleVerdict:
    """The verdict of a whole test.

    ``reasons`` is why it is not a pass, in the order of the exercises; empty for
    a pass. ``notes`` is what else to talk through: the riding faults, what kept
    happening, what was left out or left open.
    """

    result: ModuleResult
    riding: int
    serious: int
    dangerous: int
    sentence: str
    reasons: tuple[Finding, ...]
    notes: tuple[Finding, ...]


_FAILING = (
    FindingCode.DANGEROUS_FAULT,
    FindingCode.SERIOUS_FAULT,
    FindingCode.TOO_MANY_RIDING_FAULTS,
)
_LEFT_OPEN = (
    FindingCode.NOT_RIDDEN,
    FindingCode.RIDE_AGAIN_DUE,
    FindingCode.SPEED_NOT_MEASURED,
)


def marking_sheet(syllabus: Syllabus) -> MarkingSheet:
    """The sheet of a syllabus, its exercises in official order."""
    lines = tuple(
        SheetExercise(each.code, each.name, each.not_after_failed) for each in syllabus.manoeuvres
    )
    return MarkingSheet(lines, syllabus.pass_rule.most_riding_faults, syllabus.fault_names())


def judge_test(
    rides: Sequence[RiddenExercise],
    sheet: MarkingSheet,
    *,
    stopped: bool = False,
    between: Sequence[SeenFault] = (),
) -> ModuleVerdict:
    """Judge a whole test from its rides in the order ridden.

    Passed: no serious or dangerous fault, and at most the sheet's number of
    riding faults (GOV.UK "Motorcycle and moped tests: module 1 off-road test").
    Every fault seen counts, those of a first try that was too slow as well. A test
    of which the yard left something out can fail, but never pass: it is partial.
    ``between`` holds faults seen outside the exercises, for one is on test from
    mounting (common practice, no source). A stopped test is stopped, whatever was
    seen in it. Raises ValueError for a ride of a manoeuvre that is not on the sheet.
    """
    _check_on_sheet(rides, sheet)
    found = [each for line in sheet.exercises for each in _line_findings(line, rides, sheet)]
    found += fault_findings(between, sheet.fault_names, "Between the exercises", None)
    found += _too_many(found, sheet.most_riding_faults)
    return _verdict(found, sheet, stopped)


def _verdict(found: Sequence[Finding], sheet: MarkingSheet, stopped: bool) -> ModuleVerdict:
    result, reasons = _result(found, stopped), _reasons(found, stopped)
    notes = [each for each in found if each not in reasons]
    return ModuleVerdict(
        result=result,
        riding=_count(found, FindingCode.RIDING_FAULT),
        serious=_count(found, FindingCode.SERIOUS_FAULT),
        dangerous=_count(found, FindingCode.DANGEROUS_FAULT),
        sentence=_sentence(result, found, sheet.most_riding_faults),
        reasons=tuple(reasons),
        notes=(*notes, *repeated_findings(found, sheet.fault_names)),
    )


def _check_on_sheet(rides: Sequence[RiddenExercise], sheet: MarkingSheet) -> None:
    codes = {line.code for line in sheet.exercises}
    for ride in rides:
        if ride.manoeuvre not in codes:
            raise ValueError(f"{ride.manoeuvre} is not on this marking sheet")


def _line_findings(
    line: SheetExercise, rides: Sequence[RiddenExercise], sheet: MarkingSheet
) -> list[Finding]:
    mine = [ride for ride in rides if ride.manoeuvre == line.code]
    if not mine:
        return [_not_ridden(line, rides, sheet)]
    found = [each for ride in mine for each in ride_findings(ride, sheet.fault_names, line.name)]
    # After a failing fault nothing is ridden again: the second try is for the speed alone.
    left_open = None if _any_failing(found) else open_finding(mine[-1], line.name)
    return [*found, left_open] if left_open else found


def _not_ridden(
    line: SheetExercise, rides: Sequence[RiddenExercise], sheet: MarkingSheet
) -> Finding:
    """Avoidance is left out after a failed emergency stop (common practice, no source)."""
    if line.left_out:
        sentence = f"{line.name}: left out. {line.left_out}"
        return Finding(FindingCode.LEFT_OUT, sentence, line.code)
    if line.not_after_failed and exercise_failed(line.not_after_failed, rides, sheet):
        names = {each.code: each.name for each in sheet.exercises}
        other = names[line.not_after_failed]
        sentence = f"{line.name}: not ridden, because the exercise before it failed ({other})."
        return Finding(FindingCode.NOT_RIDDEN_AFTER_FAILURE, sentence, line.code)
    return Finding(FindingCode.NOT_RIDDEN, f"{line.name}: not ridden.", line.code)


def exercise_failed(code: str, rides: Sequence[RiddenExercise], sheet: MarkingSheet) -> bool:
    """Whether a ride of the exercise had a serious or dangerous fault, its speed included."""
    return any(
        _any_failing(ride_findings(ride, sheet.fault_names, ""))
        for ride in rides
        if ride.manoeuvre == code
    )


def _any_failing(found: Sequence[Finding]) -> bool:
    return any(each.code in _FAILING for each in found)


def _count(found: Sequence[Finding], code: FindingCode) -> int:
    return sum(each.code is code for each in found)


def _too_many(found: Sequence[Finding], most: int) -> list[Finding]:
    riding = _count(found, FindingCode.RIDING_FAULT)
    if riding <= most:
        return []
    sentence = f"{count_words(riding, 'riding fault')} in the whole test; at most {most} may pass."
    return [Finding(FindingCode.TOO_MANY_RIDING_FAULTS, sentence, count=riding)]


def _result(found: Sequence[Finding], stopped: bool) -> ModuleResult:
    if stopped:
        return ModuleResult.STOPPED
    if _any_failing(found):
        return ModuleResult.FAILED
    if any(each.code in _LEFT_OPEN for each in found):
        return ModuleResult.INCOMPLETE
    if _count(found, FindingCode.LEFT_OUT):
        return ModuleResult.PARTIAL
    return ModuleResult.PASSED


def _reasons(found: Sequence[Finding], stopped: bool) -> list[Finding]:
    failing = [each for each in found if each.code in _FAILING]
    if stopped:
        return [Finding(FindingCode.STOPPED, "The test was stopped before its end."), *failing]
    left_open = [each for each in found if each.code in _LEFT_OPEN]
    return failing or left_open or [each for each in found if each.code is FindingCode.LEFT_OUT]


def _sentence(result: ModuleResult, found: Sequence[Finding], most: int) -> str:
    faults = _faults_words(found)
    open_ones = count_words(sum(each.code in _LEFT_OPEN for each in found), "exercise")
    left_out = count_words(_count(found, FindingCode.LEFT_OUT), "exercise")
    return {
        ModuleResult.PASSED: f"Passed: {faults}, at most {most} riding faults allowed.",
        ModuleResult.FAILED: f"Not passed: {faults}.",
        ModuleResult.INCOMPLETE: f"No verdict yet, {open_ones} still open: {faults} so far.",
        ModuleResult.PARTIAL: f"Not the whole test, {left_out} left out: {faults} in the rest.",
        ModuleResult.STOPPED: f"Stopped, so no verdict: {faults} up to then.",
    }[result]


def _faults_words(found: Sequence[Finding]) -> str:
    counted = (
        (_count(found, FindingCode.DANGEROUS_FAULT), "dangerous fault"),
        (_count(found, FindingCode.SERIOUS_FAULT), "serious fault"),
        (_count(found, FindingCode.RIDING_FAULT), "riding fault"),
    )
    said = [count_words(number, noun) for number, noun in counted if number]
    return ", ".join(said) or "no faults"
