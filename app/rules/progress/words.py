"""Standings and their reasons in words, for instructors and for students.

Instructors are told the facts. Students are spoken to, are never discouraged
and are never promised anything; they are given no percentage.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.rules.progress.standing import Assessment
from app.rules.progress.target import (
    FewSessions,
    LowChance,
    NeverRidden,
    Reason,
    ShortRun,
    Standing,
    TooLongAgo,
)

STANDING_WORDS = {
    Standing.NOT_RIDDEN: "not yet ridden",
    Standing.WORKING: "working on it",
    Standing.NEARLY: "nearly there",
    Standing.REFRESH: "needs a refresh",
    Standing.STEADY: "steady",
}


@dataclass(frozen=True, slots=True)
class FaultTally:
    """How often one kind of fault was seen in the recent rides, and on which side.

    ``name`` is a phrase that can be counted, such as "a cone touched". ``left``
    and ``right`` count only faults whose side was recorded.
    """

    name: str
    count: int
    left: int = 0
    right: int = 0


def for_instructor(assessment: Assessment, faults: Sequence[FaultTally] = ()) -> str:
    """One sentence that says why: the record, the faults, what costs most, the last ride."""
    if assessment.days is None:
        return "Not ridden yet."
    clauses = [_record(assessment), *map(fault_words, faults)]
    clauses += [_to_instructor(reason) for reason in assessment.reasons if not _told(reason)]
    clauses.append(f"last ridden {days_ago(assessment.days)}")
    return _sentence(clauses)


def for_student(assessment: Assessment, faults: Sequence[FaultTally] = ()) -> str:
    """The same for the student, in the second person."""
    if assessment.days is None:
        return "You have not ridden this one yet."
    clauses = [_your_record(assessment), *map(fault_words, faults)]
    clauses += [_to_student(reason) for reason in _for_students(assessment.reasons)]
    if not any(isinstance(reason, TooLongAgo) for reason in assessment.reasons):
        clauses.append(f"you last rode it {days_ago(assessment.days)}")
    return _sentence(clauses)


def fault_words(tally: FaultTally) -> str:
    """A tally as a clause: "a cone touched twice, both to the left"."""
    sides = _side_words(tally)
    return f"{tally.name} {_times(tally.count)}" + (f", {sides}" if sides else "")


def days_ago(days: int) -> str:
    """Whole calendar days as people say them."""
    if days == 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"


def _told(reason: Reason) -> bool:
    """Whether the record alone says it: a ride that was not clean shows in "2 of the last 5"."""
    return isinstance(reason, ShortRun) and reason.clean < reason.rides


def _for_students(reasons: Sequence[Reason]) -> Sequence[Reason]:
    """A short run already says that more clean rides are to come: no second clause for it."""
    if not any(isinstance(reason, ShortRun) for reason in reasons):
        return reasons
    return [reason for reason in reasons if not isinstance(reason, LowChance)]


def _record(assessment: Assessment) -> str:
    if assessment.of_last == 1:
        return "the only ride was clean" if assessment.clean else "ridden once, not clean"
    if assessment.clean == assessment.of_last:
        return f"the last {assessment.of_last} all clean"
    if assessment.clean == 0:
        return f"none of the last {assessment.of_last} clean"
    return f"{assessment.clean} of the last {assessment.of_last} clean"


def _your_record(assessment: Assessment) -> str:
    if assessment.of_last == 1:
        return "your first ride was clean" if assessment.clean else "one ride so far"
    if assessment.clean == assessment.of_last:
        return f"your last {assessment.of_last} were all clean"
    if assessment.clean == 0:
        return f"{_rides(assessment.rides)} so far"
    verb = "was" if assessment.clean == 1 else "were"
    return f"{assessment.clean} of your last {assessment.of_last} {verb} clean"


def _to_instructor(reason: Reason) -> str:
    match reason:
        case NeverRidden():
            return "not ridden yet"
        case ShortRun():
            return f"{reason.needed} in a row asked"
        case FewSessions():
            return f"the clean run covers {_sessions(reason.sessions)}, {reason.needed} asked"
        case LowChance(by_days=True):
            return f"the chance has slipped to {_percent(reason.chance)} since the last ride"
        case LowChance():
            likely = f"{_percent(reason.chance)} likely to be clean next time"
            return f"{likely}, {_percent(reason.needed)} asked"
        case TooLongAgo():
            return f"more than {reason.limit} days without a ride of it"


def _to_student(reason: Reason) -> str:
    match reason:
        case NeverRidden():
            return "you have not ridden this one yet"
        case ShortRun(run=0):
            return "one clean ride is the next step"
        case ShortRun():
            return f"{_more_rides(reason.rides_needed)} in a row to go"
        case FewSessions():
            return "ride it clean again in another session"
        case LowChance(by_days=True):
            return "a little rust is normal, so ride it again soon"
        case LowChance():
            return "a few more clean rides make it more certain"
        case TooLongAgo():
            return f"it has been {reason.days} days, so ride it again soon"


def _sentence(clauses: Sequence[str]) -> str:
    text = "; ".join(clauses)
    return text[:1].upper() + text[1:] + "."


def _side_words(tally: FaultTally) -> str:
    if tally.left and tally.right:
        return f"{tally.left} to the left and {tally.right} to the right"
    if not (tally.left or tally.right):
        return ""
    seen, side = (tally.left, "left") if tally.left else (tally.right, "right")
    if seen < tally.count:
        return f"{seen} of them to the {side}"
    return {1: "", 2: "both "}.get(seen, "all ") + f"to the {side}"


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _rides(count: int) -> str:
    return "1 ride" if count == 1 else f"{count} rides"


def _more_rides(count: int) -> str:
    return "1 more clean ride" if count == 1 else f"{count} more clean rides"


def _sessions(count: int) -> str:
    return "1 session" if count == 1 else f"{count} sessions"


def _percent(chance: float) -> str:
    """A chance as a whole percentage, never rounded up past what it is."""
    return f"{int(chance * 100)} %"
