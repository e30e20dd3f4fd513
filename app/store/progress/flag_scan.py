"""Which of many students stand somewhere with a manoeuvre."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from app.rules.progress.parameters import Parameters
from app.rules.progress.standing import standing_of
from app.rules.progress.state import GeneralState, VariantState
from app.rules.progress.target import Standing, TargetRule
from app.store.people.tables import StudentRow
from app.store.progress.tables import LearnerRow, StandingRow


def students_at(
    session: Session,
    among: Select[int],
    standing: Standing,
    variants: Iterable[int],
    rule: TargetRule,
    parameters: Parameters,
    now: datetime,
) -> set[int]:
    """Those among the students who have this standing in any of the variants.

    Three queries at most. Only rows whose run is long enough, or would be after one
    more clean ride, have a chance worked out: the others are being worked on.
    """
    ids = list(variants)
    if standing is Standing.NOT_RIDDEN:
        return _with_something_new(session, among, ids)
    rows = select(StandingRow).where(
        StandingRow.student_id.in_(among), StandingRow.variant_id.in_(ids), StandingRow.rides > 0
    )
    # One more clean ride is of no help to what was steady once and waits for a refresh.
    more = 0 if standing is Standing.REFRESH else 1
    near = (StandingRow.run + more >= rule.clean_in_a_row) & (
        StandingRow.run_over + more >= rule.over_sessions
    )
    if standing is not Standing.WORKING:
        return _near(session, rows.where(near), standing, rule, parameters, now)
    far = rows.where(~near).with_only_columns(StandingRow.student_id).distinct()
    left = rows.where(near, StandingRow.student_id.not_in(far))
    return {*session.scalars(far), *_near(session, left, standing, rule, parameters, now)}


def _near(
    session: Session,
    rows: Select[StandingRow],
    standing: Standing,
    rule: TargetRule,
    parameters: Parameters,
    now: datetime,
) -> set[int]:
    """The students of these rows who have this standing; their chances are worked out."""
    found: set[int] = set()
    for student, general, known in states_of(session, rows):
        if student not in found and standing_of(known, general, rule, parameters, now) is standing:
            found.add(student)
    return found


def states_of(
    session: Session, rows: Select[StandingRow]
) -> Iterator[tuple[int, GeneralState, VariantState]]:
    """The student and the two states of each row, as far as a standing needs them. Two queries."""
    generals = _generals(session, rows)
    for student, *kept in session.execute(rows.with_only_columns(*_VARIANT)):
        yield student, generals[student], _variant(*kept)


_VARIANT = (
    StandingRow.student_id,
    StandingRow.variant_id,
    StandingRow.own,
    StandingRow.own_variance,
    StandingRow.rides,
    StandingRow.clean_rides,
    StandingRow.run,
    StandingRow.run_over,
    StandingRow.last_ridden_at,
)
_GENERAL = (
    LearnerRow.student_id,
    LearnerRow.level,
    LearnerRow.level_variance,
    LearnerRow.form,
    LearnerRow.form_variance,
    LearnerRow.last_ridden_at,
)


def _generals(session: Session, rows: Select[StandingRow]) -> dict[int, GeneralState]:
    """The general states of the students of these rows, as far as a standing needs them."""
    students = rows.with_only_columns(StandingRow.student_id)
    found = session.execute(select(*_GENERAL).where(LearnerRow.student_id.in_(students)))
    return {
        row.student_id: GeneralState(
            row.level, row.level_variance, row.form, row.form_variance, last_at=row.last_ridden_at
        )
        for row in found
    }


def _variant(
    variant_id: int,
    own: float,
    own_variance: float,
    rides: int,
    clean_rides: int,
    run: int,
    run_over: int,
    last_at: datetime | None,
) -> VariantState:
    """A state as far as a standing needs it: that the sessions differ, not which they were."""
    sessions = tuple(range(run_over))
    return VariantState(
        variant_id, own, own_variance, rides, clean_rides, run, sessions, last_at=last_at
    )


def _with_something_new(session: Session, among: Select[int], variants: list[int]) -> set[int]:
    ridden = (
        select(StandingRow.student_id)
        .where(StandingRow.variant_id.in_(variants), StandingRow.rides > 0)
        .group_by(StandingRow.student_id)
        .having(func.count() == len(variants))
    )
    return set(session.scalars(among.where(StudentRow.id.not_in(ridden))))
