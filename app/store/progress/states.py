"""The engine's states in the database: loaded, stepped on, rebuilt, saved."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, delete, select
from sqlalchemy.orm import Session

from app.rules.progress.evidence import Evidence, in_order
from app.rules.progress.model import fold, follows, start, step
from app.rules.progress.parameters import Parameters, Skill, shipped_parameters
from app.rules.progress.prospects import rough_chance
from app.rules.progress.splits import FaultCounts
from app.rules.progress.state import (
    GeneralState,
    LearnerState,
    VariantState,
    general_from_plain,
    general_to_plain,
    variant_from_plain,
    variant_to_plain,
)
from app.rules.riding.marking import counts_as_evidence, is_clean
from app.rules.riding.values import Outcome
from app.store.progress.kept import faults_of, parts_of_test
from app.store.progress.tables import LearnerRow, SchoolFigureRow, StandingRow
from app.store.riding.tables import AttemptRow, ManoeuvreRow, VariantRow


def parameters(session: Session) -> Parameters:
    """The model's parameters for the school's variants (one query).

    The school's own figures where they are kept, and the shipped ones elsewhere.
    """
    found = session.execute(
        _codes()
        .add_columns(SchoolFigureRow.ease, SchoolFigureRow.practice)
        .outerjoin(SchoolFigureRow, SchoolFigureRow.variant_id == VariantRow.id)
    )
    codes: dict[int, str] = {}
    own: dict[int, Skill] = {}
    for variant, code, ease, practice in found:
        codes[variant] = code
        if ease is not None:
            own[variant] = Skill(ease, practice)
    shipped = shipped_parameters(codes)
    return replace(shipped, skills={**shipped.skills, **own})


def shipped(session: Session) -> Parameters:
    """The parameters before any ride of the school has been looked at (one query)."""
    return shipped_parameters({row.id: row.code for row in session.execute(_codes())})


def _codes() -> Select[int, str]:
    return select(VariantRow.id, ManoeuvreRow.code).join(
        ManoeuvreRow, VariantRow.manoeuvre_id == ManoeuvreRow.id
    )


def load_states(
    session: Session, students: Iterable[int], start_from: Parameters
) -> dict[int, LearnerState]:
    """What is known of each student (two queries); a new student starts at the beginning."""
    ids = list(students)
    variants: defaultdict[int, dict[int, VariantState]] = defaultdict(dict)
    for row in session.scalars(select(StandingRow).where(StandingRow.student_id.in_(ids))):
        variants[row.student_id][row.variant_id] = variant_from_plain(row.state)
    learners = session.scalars(select(LearnerRow).where(LearnerRow.student_id.in_(ids)))
    known = {
        row.student_id: LearnerState(general_from_plain(row.state), variants[row.student_id])
        for row in learners
    }
    return {student: known.get(student, start(start_from)) for student in ids}


def take_in(session: Session, student: int, rides: Iterable[Evidence]) -> None:
    """Count rides that have just been kept: one step each, or a rebuild if one came late."""
    fixed = parameters(session)
    before = load_states(session, [student], fixed)[student]
    state = before
    for ride in in_order(rides):
        if not follows(state.general, ride):
            rebuild_one(session, student, fixed)
            return
        state = step(state, ride, fixed)
    _save(session, student, state, before.variants, fixed)


def rebuild_one(session: Session, student: int, fixed: Parameters) -> None:
    """Work one student out again from all their rides."""
    state = fold(in_order(all_evidence(session, student)), fixed)
    session.execute(delete(StandingRow).where(StandingRow.student_id == student))
    _save(session, student, state, {}, fixed)


def evidence_of(row: AttemptRow) -> Evidence | None:
    """What a kept ride says; None when it does not count."""
    return _said(row.variant_id, row.session_id, row.ridden_at, row.id, row.outcome, row.struck_at)


def evidence_before(session: Session, student: int, moment: datetime) -> list[Evidence]:
    """A student's rides that count and were ridden before a moment. One query."""
    return [ride for ride in all_evidence(session, student) if ride.ridden_at < moment]


def all_evidence(session: Session, student: int) -> list[Evidence]:
    """All of a student's rides that count. One query."""
    columns = (
        AttemptRow.variant_id,
        AttemptRow.session_id,
        AttemptRow.ridden_at,
        AttemptRow.id,
        AttemptRow.outcome,
        AttemptRow.struck_at,
    )
    found = session.execute(select(*columns).where(AttemptRow.student_id == student))
    return [ride for row in found if (ride := _said(*row)) is not None]


def rides_by_student(
    session: Session, among: Select[int] | None = None
) -> dict[int, list[Evidence]]:
    """The rides that count of every student who has any, or of those among them. One query."""
    found: defaultdict[int, list[Evidence]] = defaultdict(list)
    query = select(
        AttemptRow.student_id,
        AttemptRow.variant_id,
        AttemptRow.session_id,
        AttemptRow.ridden_at,
        AttemptRow.id,
        AttemptRow.outcome,
        AttemptRow.struck_at,
    ).order_by(AttemptRow.student_id)
    if among is not None:
        query = query.where(AttemptRow.student_id.in_(among))
    for student, variant, training, ridden_at, key, outcome, struck_at in session.execute(query):
        ride = _said(variant, training, ridden_at, key, outcome, struck_at)
        if ride is not None:
            found[student].append(ride)
    return dict(found)


def _said(
    variant: int,
    training: int,
    ridden_at: datetime,
    key: UUID,
    outcome: Outcome,
    struck_at: datetime | None,
) -> Evidence | None:
    if not counts_as_evidence(outcome, struck_at is not None):
        return None
    return Evidence(variant, training, ridden_at, str(key), is_clean(outcome))


def _save(
    session: Session,
    student: int,
    state: LearnerState,
    before: Mapping[int, VariantState],
    fixed: Parameters,
) -> None:
    faults = faults_of(session, student)
    rough = rough_chance(state, parts_of_test(session), fixed, faults)
    session.merge(_learner(student, state.general, rough))
    for variant_id, variant in state.variants.items():
        if before.get(variant_id) != variant:
            row = _row(student, variant_id, variant, faults.get(variant_id, FaultCounts()))
            # To merge is to look for the row first, and there is none of a variant not known.
            keep = session.merge if variant_id in before else session.add
            keep(row)
    session.flush()


def _learner(student: int, general: GeneralState, rough: float) -> LearnerRow:
    return LearnerRow(
        student_id=student,
        last_ridden_at=general.last_at,
        rough_chance=rough,
        level=general.mean,
        level_variance=general.variance,
        form=general.form_mean,
        form_variance=general.form_variance,
        state=general_to_plain(general),
    )


def _row(student: int, variant_id: int, variant: VariantState, seen: FaultCounts) -> StandingRow:
    return StandingRow(
        student_id=student,
        variant_id=variant_id,
        rides=variant.rides,
        clean_rides=variant.clean_rides,
        run=variant.run,
        run_over=len(variant.run_sessions),
        serious=seen.serious,
        again=seen.again,
        riding=seen.riding,
        own=variant.mean,
        own_variance=variant.variance,
        last_ridden_at=variant.last_at,
        state=variant_to_plain(variant),
    )
