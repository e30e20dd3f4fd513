"""One ride with all that is kept around it."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.words import conditions
from app.rules.refusal import Missing
from app.store.accounts.tables import AccountRow
from app.store.diary.tables import SessionRow
from app.store.people.tables import StudentRow
from app.store.riding.course import load_course
from app.store.riding.rides import RideLine, ride_lines
from app.store.riding.tables import AttemptRow


@dataclass(frozen=True, slots=True)
class RideInFull:
    """One ride with its rider's name, the session's conditions (empty where unknown) and by whom.

    ``recorded_by`` is None where no person is known.
    """

    line: RideLine
    rider: str
    conditions: str
    recorded_by: str | None


def load_ride(
    session: Session, attempt_id: UUID, instructor_id: int | None, zone: ZoneInfo
) -> RideInFull:
    """One ride, of this instructor's sessions unless None. Raises Missing."""
    query = (
        select(AttemptRow)
        .join(SessionRow, AttemptRow.session_id == SessionRow.id)
        .where(AttemptRow.id == attempt_id)
    )
    if instructor_id is not None:
        query = query.where(SessionRow.instructor_id == instructor_id)
    found = ride_lines(session, query, load_course(session), zone)
    if not found:
        raise Missing(f"ride {attempt_id}")
    return _in_full(session, found[0])


def _in_full(session: Session, line: RideLine) -> RideInFull:
    rider, by, training = session.execute(
        select(StudentRow.name, AccountRow.name, SessionRow)
        .select_from(AttemptRow)
        .join(StudentRow, AttemptRow.student_id == StudentRow.id)
        .join(SessionRow, AttemptRow.session_id == SessionRow.id)
        .outerjoin(AccountRow, AttemptRow.recorded_by == AccountRow.id)
        .where(AttemptRow.id == line.attempt_id)
    ).one()
    said = conditions(training.surface, training.windy, training.surface_remark)
    return RideInFull(line, rider, said, by)
