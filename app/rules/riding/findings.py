"""What was found in a test, one finding at a time, each with its code and its sentence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.rules.riding.cones import fault_name, where_words
from app.rules.riding.marking import NO_MINIMUM, SpeedResult, SpeedVerdict
from app.rules.riding.values import SeenFault, Severity

REPEATS_WORTH_A_NOTE = 3
"""From how many riding faults of one kind the verdict says so (memory: no number is published)."""

TOO_SLOW = "too_slow"
"""Stands in a finding where a fault kind would: the speed rule gave the fault."""


class FindingCode(StrEnum):
    """What kind of thing was found."""

    DANGEROUS_FAULT = "dangerous_fault"
    SERIOUS_FAULT = "serious_fault"
    RIDING_FAULT = "riding_fault"
    TOO_MANY_RIDING_FAULTS = "too_many_riding_faults"
    RIDE_AGAIN_DUE = "ride_again_due"
    SPEED_NOT_MEASURED = "speed_not_measured"
    NOT_RIDDEN = "not_ridden"
    NOT_RIDDEN_AFTER_FAILURE = "not_ridden_after_failure"
    LEFT_OUT = "left_out"
    STOPPED = "stopped"
    REPEATED = "repeated"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found, structured and as a sentence.

    ``manoeuvre`` and ``fault`` are codes, or None where the finding is about the
    whole test. ``count`` is a number of faults where there is one to give.
    """

    code: FindingCode
    sentence: str
    manoeuvre: str | None = None
    fault: str | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class RiddenExercise:
    """One ride in a test: the manoeuvre's code, the faults seen, and what the speed rule said."""

    manoeuvre: str
    faults: tuple[SeenFault, ...] = ()
    speed: SpeedVerdict = NO_MINIMUM


_CODES = {
    Severity.RIDING: FindingCode.RIDING_FAULT,
    Severity.SERIOUS: FindingCode.SERIOUS_FAULT,
    Severity.DANGEROUS: FindingCode.DANGEROUS_FAULT,
}

_SPEED_CODES = {
    SpeedResult.RIDING_FAULT: (FindingCode.RIDING_FAULT, "too slow, a riding fault"),
    SpeedResult.SERIOUS: (
        FindingCode.SERIOUS_FAULT,
        "too slow on the second try, a serious fault",
    ),
}

_OPEN_CODES = {
    SpeedResult.RIDE_AGAIN: (
        FindingCode.RIDE_AGAIN_DUE,
        "too slow on the first try and not ridden again yet",
    ),
    SpeedResult.NOT_MEASURED: (FindingCode.SPEED_NOT_MEASURED, "the speed was not measured"),
}


def fault_findings(
    faults: Iterable[SeenFault], names: Mapping[str, str], where: str, manoeuvre: str | None
) -> list[Finding]:
    """A finding for every fault; remarks give none. ``where`` begins the sentence."""
    return [
        Finding(
            code=_CODES[fault.severity],
            sentence=f"{where}: {where_words(fault, names)}, a {fault.severity.value} fault.",
            manoeuvre=manoeuvre,
            fault=fault.kind,
            count=1,
        )
        for fault in faults
        if fault.severity in _CODES
    ]


def ride_findings(ride: RiddenExercise, names: Mapping[str, str], where: str) -> list[Finding]:
    """The faults of one ride and of its speed, as findings."""
    found = fault_findings(ride.faults, names, where, ride.manoeuvre)
    if ride.speed.result in _SPEED_CODES:
        code, words = _SPEED_CODES[ride.speed.result]
        found.append(Finding(code, f"{where}: {words}.", ride.manoeuvre, TOO_SLOW, 1))
    return found


def open_finding(last: RiddenExercise, where: str) -> Finding | None:
    """What the last ride of an exercise leaves undecided, if anything."""
    if last.speed.result not in _OPEN_CODES:
        return None
    code, words = _OPEN_CODES[last.speed.result]
    return Finding(code, f"{where}: {words}.", last.manoeuvre)


def repeated_findings(found: Sequence[Finding], names: Mapping[str, str]) -> list[Finding]:
    """A note for each kind of riding fault that kept happening. The examiner judges, not the count.

    A riding fault becomes serious when it keeps happening; how often that is has
    no number (GOV.UK "Motorcycle and moped tests: module 1 off-road test").
    """
    riding = (each.fault for each in found if each.code is FindingCode.RIDING_FAULT and each.fault)
    return [
        Finding(
            code=FindingCode.REPEATED,
            sentence=(
                f"{count} times: {fault_name(kind, names)}. An examiner may judge a riding fault"
                " that keeps happening to be serious."
            ),
            fault=kind,
            count=count,
        )
        for kind, count in Counter(riding).items()
        if count >= REPEATS_WORTH_A_NOTE
    ]
