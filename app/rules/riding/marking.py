"""Marking one ride: its speed, its faults, and the worst of the two."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import floor, isfinite

from app.rules.riding.values import Outcome, SeenFault, Severity
from app.rules.yards.speed import kmh_words, speed_words

ALLOWANCE_SHARE = 0.05
"""How far under the minimum a speed is still only a riding fault: 5 %, in whole km/h.

5 % of 50 km/h is 2.5, applied as 2 km/h (agency notice, second-hand). For the
moped's 30 km/h nothing is published; cutting 5 % of it down to whole km/h in the
same way gives 1 km/h (derived, our reading; the stricter of the two readings).
"""


class SpeedResult(StrEnum):
    """What the minimum-speed rule says of one ride."""

    NO_MINIMUM = "no_minimum"
    MET = "met"
    RIDING_FAULT = "riding_fault"
    RIDE_AGAIN = "ride_again"
    SERIOUS = "serious"
    NOT_MEASURED = "not_measured"


@dataclass(frozen=True, slots=True)
class SpeedVerdict:
    """A result of the speed rule with its reason in words; ``speed_kmh`` in km/h if measured."""

    result: SpeedResult
    reason: str
    speed_kmh: float | None = None


NO_MINIMUM = SpeedVerdict(SpeedResult.NO_MINIMUM, "No minimum speed here.")

_OUTCOME_OF_SPEED = {
    SpeedResult.NO_MINIMUM: Outcome.CLEAN,
    SpeedResult.MET: Outcome.CLEAN,
    SpeedResult.NOT_MEASURED: Outcome.UNMEASURED,
    SpeedResult.RIDING_FAULT: Outcome.RIDING,
    SpeedResult.RIDE_AGAIN: Outcome.RIDE_AGAIN,
    SpeedResult.SERIOUS: Outcome.SERIOUS,
}

_OUTCOME_OF_SEVERITY = {
    Severity.REMARK: Outcome.CLEAN,
    Severity.RIDING: Outcome.RIDING,
    Severity.SERIOUS: Outcome.SERIOUS,
    Severity.DANGEROUS: Outcome.DANGEROUS,
}

FROM_BEST_TO_WORST = (
    Outcome.CLEAN,
    Outcome.UNMEASURED,
    Outcome.RIDING,
    Outcome.RIDE_AGAIN,
    Outcome.SERIOUS,
    Outcome.DANGEROUS,
)
"""Outcomes in order. A ride that is faulty and unmeasured keeps its faults' outcome."""


def allowance_kmh(minimum_kmh: float, share: float = ALLOWANCE_SHARE) -> int:
    """How many whole km/h under the minimum are still only a riding fault: 2 for 50, 1 for 30."""
    return floor(round(minimum_kmh * share, 6))


def judge_speed(
    speed_kmh: float | None,
    minimum_kmh: float | None,
    second_try: bool,
    share: float = ALLOWANCE_SHARE,
) -> SpeedVerdict:
    """Judge a speed in km/h against a minimum in km/h; None means not measured, or no minimum.

    The minimum speeds are published (GOV.UK "Motorcycle and moped tests: module 1
    off-road test"). Within the allowance: a riding fault (agency notice,
    second-hand). Slower: ridden again once, then serious (common practice, no
    source). Raises ValueError for a speed that is negative or not a number.
    """
    if speed_kmh is not None and not (isfinite(speed_kmh) and speed_kmh >= 0):
        raise ValueError("a speed is a number of km/h, not below nought")
    if minimum_kmh is None:
        return SpeedVerdict(SpeedResult.NO_MINIMUM, NO_MINIMUM.reason, speed_kmh)
    if speed_kmh is None:
        return SpeedVerdict(SpeedResult.NOT_MEASURED, _not_measured_words(minimum_kmh))
    result = _compare(speed_kmh, minimum_kmh, second_try, share)
    return SpeedVerdict(result, _speed_reason(result, speed_kmh, minimum_kmh, share), speed_kmh)


def _compare(speed: float, minimum: float, second_try: bool, share: float) -> SpeedResult:
    if speed >= minimum:
        return SpeedResult.MET
    if speed >= minimum - allowance_kmh(minimum, share):
        return SpeedResult.RIDING_FAULT
    return SpeedResult.SERIOUS if second_try else SpeedResult.RIDE_AGAIN


def _not_measured_words(minimum: float) -> str:
    return f"Speed not measured, so the minimum of {speed_words(minimum)} cannot be judged."


def _speed_reason(result: SpeedResult, speed: float, minimum: float, share: float) -> str:
    said, least = speed_words(speed), speed_words(minimum)
    allowance = kmh_words(allowance_kmh(minimum, share))
    reasons = {
        SpeedResult.MET: f"{said}: the minimum of {least} is met.",
        SpeedResult.RIDING_FAULT: (
            f"{said}: under the minimum of {least}, but by no more than {allowance} km/h:"
            " a riding fault."
        ),
        SpeedResult.RIDE_AGAIN: f"{said}: too far under the minimum of {least}. Ride it again.",
        SpeedResult.SERIOUS: (
            f"{said}: too far under the minimum of {least} on the second try: a serious fault."
        ),
    }
    return reasons[result]


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """The worst of the outcomes; clean where there is none."""
    return max(outcomes, key=FROM_BEST_TO_WORST.index, default=Outcome.CLEAN)


def faults_outcome(faults: Iterable[SeenFault]) -> Outcome:
    """What the faults alone come to. Remarks are not faults."""
    return worst(_OUTCOME_OF_SEVERITY[fault.severity] for fault in faults)


def mark(faults: Iterable[SeenFault], speed: SpeedVerdict = NO_MINIMUM) -> Outcome:
    """What a ride came to: the worst of its faults and its speed."""
    return worst((faults_outcome(faults), _OUTCOME_OF_SPEED[speed.result]))


def is_clean(outcome: Outcome) -> bool:
    """Whether the ride had no fault of any severity and met its minimum speed if there is one."""
    return outcome is Outcome.CLEAN


def counts_as_evidence(outcome: Outcome, struck_out: bool) -> bool:
    """Whether the ride says anything about the student.

    Struck-out rides do not, nor rides whose speed was not measured. A ride that
    must be ridden again does, as not clean.
    """
    return not struck_out and outcome is not Outcome.UNMEASURED
