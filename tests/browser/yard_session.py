"""A session of four riders in the demo school, going on now."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Role
from app.rules.diary.values import BookingState, SessionKind
from app.store.accounts.tables import AccountRow
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.riding.safety_tables import SafetyCheckRow
from app.store.riding.tables import AttemptRow
from app.store.yards.tables import YardRow
from tests.support import demo


def four_riders(db: Database, now: datetime) -> int:
    """Put the session into the instructor's diary, checked; its id."""
    with db.writing() as session:
        email = demo.sign_ins()[Role.INSTRUCTOR]
        teaches = select(InstructorRow).join(AccountRow).where(AccountRow.email == email)
        riders = session.scalars(select(StudentRow.id).order_by(StudentRow.id).limit(4)).all()
        yard = session.scalars(select(YardRow.id).where(YardRow.speed_run).limit(1)).one()
        _clear(session, now)
        training = SessionRow(
            yard_id=yard,
            instructor_id=session.scalars(teaches).one().id,
            kind=SessionKind.MODULE_1,
            starts_at=now - timedelta(minutes=1),
            ends_at=now + timedelta(minutes=29),
            places=4,
        )
        session.add(training)
        session.flush()
        session.add_all(
            BookingRow(session_id=training.id, student_id=rider, state=BookingState.BOOKED,
                       booked_at=now)
            for rider in riders
        )  # fmt: skip
        session.add(SafetyCheckRow(session_id=training.id, confirmed_at=now, checks=[]))
        return training.id


def _clear(session: Session, now: datetime) -> None:
    """Cancel what stands in the diary at that time, since nobody is in two places at once."""
    at_that_time = (
        SessionRow.starts_at < now + timedelta(minutes=29),
        SessionRow.ends_at > now - timedelta(minutes=1),
    )
    for row in session.scalars(select(SessionRow).where(*at_that_time)):
        row.cancelled_at = now
        for booking in session.scalars(select(BookingRow).where(BookingRow.session_id == row.id)):
            booking.state, booking.cancelled_at = BookingState.CANCELLED, now
    session.flush()


def rides_of(db: Database, session_id: int) -> list[AttemptRow]:
    """The rides that arrived, in the order they were ridden."""
    with db.reading() as session:
        query = select(AttemptRow).where(AttemptRow.session_id == session_id)
        return list(session.scalars(query.order_by(AttemptRow.ridden_at, AttemptRow.id)))


def cancel(db: Database, session_id: int, now: datetime) -> None:
    """Cancel the session while the tablet is out of reach."""
    with db.writing() as session:
        session.get_one(SessionRow, session_id).cancelled_at = now
