"""What is said after a mock test."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.refusal import Missing
from app.rules.riding.cones import SPEED_SAID, fault_words
from app.rules.riding.findings import Finding, FindingCode
from app.rules.riding.marking import SpeedResult
from app.rules.riding.values import Severity
from app.rules.settings import SchoolSettings
from app.store.progress.reads import StudentProgress, student_progress
from app.store.riding.mock_reads import MockLine, MockTest, load_mock_test
from app.store.riding.rides import RideLine

_WHY_NOT = (
    FindingCode.NOT_RIDDEN,
    FindingCode.NOT_RIDDEN_AFTER_FAILURE,
    FindingCode.LEFT_OUT,
)
_FAULTS_BY_SPEED = (SpeedResult.RIDING_FAULT, SpeedResult.SERIOUS)
_IN_THE_TABLE = (*_WHY_NOT, FindingCode.RIDING_FAULT)


@dataclass(frozen=True, slots=True)
class DebriefLine:
    """One exercise: its rides, or the sentence why there are none."""

    name: str
    variant_id: int
    rides: tuple[RideLine, ...]
    why_not: str


@dataclass(frozen=True, slots=True)
class CountedFault:
    """Something seen in the test, with how often and in which exercises."""

    words: str
    times: int
    where: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Debrief:
    """A mock test that has ended, and the student as they stand now.

    ``notes`` are those of the verdict that the table does not say already.
    """

    test: MockTest
    most_riding_faults: int
    lines: tuple[DebriefLine, ...]
    faults: tuple[CountedFault, ...]
    notes: tuple[Finding, ...]
    progress: StudentProgress


def load_debrief(
    session: Session,
    mock_test_id: UUID,
    now: datetime,
    settings: SchoolSettings,
    student_id: int | None = None,
) -> Debrief:
    """The debrief of a mock test, of this student's where one is given.

    A fixed number of queries. Raises Missing for a test that is another student's,
    or has not ended.
    """
    zone = ZoneInfo(settings.time_zone)
    test = load_mock_test(session, mock_test_id, zone, student_id=student_id)
    if test.ended_at is None:
        raise Missing(f"mock test {mock_test_id} has not ended")
    lines = tuple(_line(line, test) for line in test.lines)
    return Debrief(
        test=test,
        most_riding_faults=test.course.syllabus.pass_rule.most_riding_faults,
        lines=lines,
        faults=_counted(lines, test.course.fault_names),
        notes=tuple(note for note in test.verdict.notes if note.code not in _IN_THE_TABLE),
        progress=student_progress(session, test.student_id, now, settings),
    )


def _line(line: MockLine, test: MockTest) -> DebriefLine:
    return DebriefLine(
        name=line.variant.name,
        variant_id=line.variant.id,
        rides=line.rides,
        why_not=_why_not(line, (*test.verdict.reasons, *test.verdict.notes)),
    )


def _why_not(line: MockLine, found: Iterable[Finding]) -> str:
    code = line.variant.manoeuvre.code
    said = (each.sentence for each in found if each.manoeuvre == code and each.code in _WHY_NOT)
    sentence = next(said, "").removeprefix(f"{line.variant.name}: ")
    return sentence[:1].upper() + sentence[1:]


def _counted(lines: Iterable[DebriefLine], names: Mapping[str, str]) -> tuple[CountedFault, ...]:
    """Every fault, the most frequent first; remarks are none."""
    times: Counter[str] = Counter()
    where: dict[str, dict[str, None]] = {}
    for line in lines:
        for ride in line.rides:
            for words in _faults(ride, names):
                times[words] += 1
                where.setdefault(words, {})[line.name] = None
    return tuple(CountedFault(words, n, tuple(where[words])) for words, n in times.most_common())


def _faults(ride: RideLine, names: Mapping[str, str]) -> list[str]:
    """The faults of a ride in words, with the fault that the speed rule gave, if it did."""
    seen = [fault for fault in ride.seen if fault.severity is not Severity.REMARK]
    found = [fault_words(fault, names) for fault in seen]
    by_speed = ride.speed_result in _FAULTS_BY_SPEED
    return [*found, SPEED_SAID[ride.speed_result]] if by_speed else found
