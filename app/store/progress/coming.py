"""What a student has before them: the next session and the next real test."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.words import KINDS, MODULES
from app.store.diary.lines import held
from app.store.diary.tables import BookingRow, SessionRow, TestAppointmentRow
from app.store.people.tables import InstructorRow
from app.store.yards.tables import BikeRow, YardRow


@dataclass(frozen=True, slots=True)
class NextSession:
    """A place that is booked; ``bike`` is None where the student brings their own."""

    starts_at: datetime
    ends_at: datetime
    kind: str
    yard: str
    instructor: str
    bike: str | None


@dataclass(frozen=True, slots=True)
class NextTest:
    """A real test that is booked; ``module`` is said in words."""

    module: str
    starts_at: datetime
    centre: str
    bike: str | None


def next_session(session: Session, student_id: int, now: datetime) -> NextSession | None:
    """The first session with a place of the student that is not over. One query."""
    found = session.execute(
        select(SessionRow, YardRow.name, InstructorRow.name, BikeRow.label)
        .join(BookingRow, BookingRow.session_id == SessionRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(BookingRow.student_id == student_id, held())
        .where(SessionRow.cancelled_at.is_(None), SessionRow.ends_at > now)
        .order_by(SessionRow.starts_at, SessionRow.id)
        .limit(1)
    ).first()
    if found is None:
        return None
    row, yard, instructor, bike = found
    return NextSession(row.starts_at, row.ends_at, KINDS[row.kind], yard, instructor, bike)


def next_test(session: Session, student_id: int, now: datetime) -> NextTest | None:
    """The first real test from now on that has no result. One query."""
    found = session.execute(
        select(TestAppointmentRow, BikeRow.label)
        .outerjoin(BikeRow, TestAppointmentRow.bike_id == BikeRow.id)
        .where(TestAppointmentRow.student_id == student_id)
        .where(TestAppointmentRow.starts_at > now, TestAppointmentRow.result.is_(None))
        .order_by(TestAppointmentRow.starts_at, TestAppointmentRow.id)
        .limit(1)
    ).first()
    if found is None:
        return None
    row, bike = found
    return NextTest(MODULES[row.module], row.starts_at, row.centre, bike)
