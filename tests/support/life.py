"""The life of bookings in tests: holding, waiting, and what was written down of it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

from sqlalchemy import select, update

from app.rules.diary.values import BookingState, SessionKind, WaitingState
from app.rules.diary.waiting import WaitingWish
from app.rules.settings import SchoolSettings
from app.store import settings
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary import booking_writes, waiting_writes
from app.store.diary.places import WantedPlace
from app.store.diary.tables import BookingRow, WaitingRow
from app.store.outbox import MessageRow
from app.store.people.tables import StudentRow
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, TOMORROW

HOUR = timedelta(hours=1)


def hold(db: Database, training: int, student: int, bike: int | None = None) -> int:
    """Hold a place at the start of now."""
    return booking_writes.hold(db, DESK, WantedPlace(training, student, bike), uuid4(), START)


def waits(db: Database, student: int, minutes: int = 0, **facts: Any) -> int:
    """Put a student on the list some minutes after the start of now, on their own bike."""
    usual: dict[str, Any] = {
        "kind": SessionKind.MODULE_1,
        "earliest": TOMORROW,
        "latest": TOMORROW + timedelta(days=30),
        "own_bike": True,
    }
    wish = WaitingWish(student, **(usual | facts))
    return waiting_writes.wait(db, DESK, wish, uuid4(), START + timedelta(minutes=minutes))


def state(db: Database, waiting: int) -> WaitingState:
    with db.reading() as session:
        return session.get_one(WaitingRow, waiting).state


def held_for(db: Database, training: int) -> list[int]:
    """The students for whom a place in a session is held."""
    with db.reading() as session:
        query = select(BookingRow.student_id).where(BookingRow.session_id == training)
        return list(session.scalars(query.where(BookingRow.state == BookingState.HELD)))


def audited(db: Database, subject: str, number: int) -> list[str]:
    with db.reading() as session:
        query = select(AuditEntryRow.action).where(AuditEntryRow.subject == subject)
        mine = query.where(AuditEntryRow.subject_id == str(number)).order_by(AuditEntryRow.id)
        return list(session.scalars(mine))


def letters(db: Database) -> list[str]:
    with db.reading() as session:
        return list(session.scalars(select(MessageRow.kind).order_by(MessageRow.id)))


def set_school(db: Database, **facts: Any) -> None:
    with db.writing() as session:
        settings.save(session, SchoolSettings(**facts))


def with_mail(db: Database, people: Cast) -> Cast:
    """The cast, with addresses at which mail reaches the students."""
    with db.writing() as session:
        session.execute(
            update(StudentRow)
            .where(StudentRow.id == people.learner)
            .values(email="lena@example.org")
        )
        session.execute(
            update(StudentRow)
            .where(StudentRow.id == people.stranger)
            .values(email="stan@example.org")
        )
    return people
