"""What is kept beside the engine's states: the test of the school, and the faults in its rides."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import ColumnElement, Select, func, select
from sqlalchemy.orm import Session

from app.rules.progress.prospects import Counts, Parts
from app.rules.progress.splits import FaultCounts
from app.rules.riding.values import Outcome, Severity
from app.store.progress.tables import StandingRow
from app.store.riding.tables import AttemptFaultRow, AttemptRow, ManoeuvreRow, VariantRow

_GRAVE = (Severity.SERIOUS, Severity.DANGEROUS)


def parts_of_test(session: Session) -> Parts:
    """The manoeuvres that are taught, in the order of the test, with their variants. One query."""
    found = session.execute(
        select(VariantRow.manoeuvre_id, VariantRow.id)
        .join(ManoeuvreRow, VariantRow.manoeuvre_id == ManoeuvreRow.id)
        .where(VariantRow.retired.is_(False), ManoeuvreRow.retired.is_(False))
        .order_by(ManoeuvreRow.place, VariantRow.place)
    )
    parts: dict[int, tuple[int, ...]] = {}
    for manoeuvre, variant in found:
        parts[manoeuvre] = (*parts.get(manoeuvre, ()), variant)
    return tuple(parts.items())


def school_faults(session: Session) -> Counts:
    """The faults in the rides of all students, by variant. One query."""
    columns = (StandingRow.serious, StandingRow.again, StandingRow.riding)
    found = session.execute(
        select(StandingRow.variant_id, *map(func.sum, columns)).group_by(StandingRow.variant_id)
    )
    return {variant: FaultCounts(*map(int, counts)) for variant, *counts in found}


def own_faults(session: Session, students: Iterable[int]) -> dict[int, Counts]:
    """The faults of several students by variant, as they are kept. One query."""
    query = select(StandingRow).where(StandingRow.student_id.in_(list(students)))
    found: defaultdict[int, dict[int, FaultCounts]] = defaultdict(dict)
    for row in session.scalars(query):
        found[row.student_id][row.variant_id] = FaultCounts(row.serious, row.again, row.riding)
    return dict(found)


def faults_of(session: Session, student: int, before: datetime | None = None) -> Counts:
    """The faults in one student's rides that count, by variant, from the rides. Two queries.

    Only rides before a moment, if one is given. A second try that was too slow is
    serious, though nothing else was seen in it.
    """
    rides = _counted(student, before)
    serious, riding = Counter[int](), Counter[int]()
    for variant, severity, count in session.execute(_seen(*rides)):
        (serious if severity in _GRAVE else riding)[variant] += count
    again = Counter[int]()
    for variant, outcome, count in session.execute(_too_slow(*rides)):
        (again if outcome is Outcome.RIDE_AGAIN else serious)[variant] += count
    return {
        variant: FaultCounts(serious[variant], again[variant], riding[variant])
        for variant in serious.keys() | again.keys() | riding.keys()
    }


def _seen(*rides: ColumnElement[bool]) -> Select[int, Severity, int]:
    return (
        select(AttemptRow.variant_id, AttemptFaultRow.severity, func.count())
        .join(AttemptFaultRow, AttemptFaultRow.attempt_id == AttemptRow.id)
        .where(*rides, AttemptFaultRow.severity != Severity.REMARK)
        .group_by(AttemptRow.variant_id, AttemptFaultRow.severity)
    )


def _too_slow(*rides: ColumnElement[bool]) -> Select[int, Outcome, int]:
    grave = (
        select(AttemptFaultRow.attempt_id)
        .where(AttemptFaultRow.attempt_id == AttemptRow.id, AttemptFaultRow.severity.in_(_GRAVE))
        .exists()
    )
    slow = (AttemptRow.outcome == Outcome.RIDE_AGAIN) | (
        (AttemptRow.outcome == Outcome.SERIOUS) & ~grave
    )
    return (
        select(AttemptRow.variant_id, AttemptRow.outcome, func.count())
        .where(*rides, slow)
        .group_by(AttemptRow.variant_id, AttemptRow.outcome)
    )


def _counted(student: int, before: datetime | None) -> tuple[ColumnElement[bool], ...]:
    return (
        AttemptRow.student_id == student,
        AttemptRow.struck_at.is_(None),
        AttemptRow.outcome != Outcome.UNMEASURED,
        *([AttemptRow.ridden_at < before] if before else []),
    )
