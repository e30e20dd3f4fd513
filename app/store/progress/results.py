"""Real results beside the chances that were given before them."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.rules.diary.values import TestModule, TestResult
from app.rules.progress.model import fold
from app.rules.progress.prospects import School, whole_test
from app.rules.progress.readiness import pass_chance
from app.rules.progress.recalibration import Recalibration, recalibrate
from app.store.diary.tables import TestAppointmentRow
from app.store.progress.kept import faults_of, parts_of_test, school_faults
from app.store.progress.states import evidence_before, parameters
from app.store.progress.tables import GivenChanceRow

LATEST = 500
"""How many real results the chances rest on at most, the latest."""


def school_now(session: Session) -> School:
    """What all chances of passing rest on. Four queries."""
    return replace(_school(session), results=recalibration(session))


def recalibration(session: Session) -> Recalibration:
    """What the latest real results say about the chances given before them. One query."""
    return recalibrate(real_results(session))


def real_results(session: Session) -> list[tuple[float, bool]]:
    """The latest real results: the chance given before each, and whether it was passed."""
    found = session.execute(
        select(GivenChanceRow.chance, GivenChanceRow.passed)
        .order_by(GivenChanceRow.appointment_id.desc())
        .limit(LATEST)
    )
    return [(row.chance, row.passed) for row in found]


def settle(session: Session, *, anew: bool = False) -> int:
    """Work out the chance that stood before each module 1 test whose result is known; how many.

    Those worked out already are left as they are, unless ``anew``. A student without
    a ride before the test was taught elsewhere and says nothing.
    """
    if anew:
        session.execute(delete(GivenChanceRow))
    settled = select(GivenChanceRow.appointment_id)
    query = select(TestAppointmentRow).where(
        TestAppointmentRow.module == TestModule.MODULE_1,
        TestAppointmentRow.result.is_not(None),
        TestAppointmentRow.id.not_in(settled),
    )
    school = _school(session)
    rows = [_given(session, each, school) for each in session.scalars(query.order_by("id"))]
    found = [row for row in rows if row is not None]
    session.add_all(found)
    session.flush()
    return len(found)


def _school(session: Session) -> School:
    return School(parts_of_test(session), parameters(session), school_faults(session))


def _given(session: Session, test: TestAppointmentRow, school: School) -> GivenChanceRow | None:
    rides = evidence_before(session, test.student_id, test.starts_at)
    if not rides or not school.parts:
        return None
    own = faults_of(session, test.student_id, before=test.starts_at)
    state = fold(rides, school.parameters)
    chance = pass_chance(*whole_test(state, school, own, test.starts_at))
    passed = test.result is TestResult.PASS
    return GivenChanceRow(appointment_id=test.id, chance=chance, passed=passed)
