"""What the owner's office shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.rules.diary.values import TestResult
from app.store.accounts.tables import AccountRow
from app.store.audit import AuditEntryRow
from app.store.diary.tables import BookingRow, SessionRow, TestAppointmentRow
from app.store.people.tables import StudentRow
from app.store.riding.tables import AttemptRow

PAGE = 50


@dataclass(frozen=True, slots=True)
class Figures:
    """The school at a glance: counts, and module 1 results so far."""

    students: int
    sessions: int
    bookings: int
    rides: int
    tests: int
    passes: int


@dataclass(frozen=True, slots=True)
class AuditEntry:
    """One change, with the name of who made it (or the command that did)."""

    id: int
    at: datetime
    who: str
    origin: str
    action: str
    subject: str
    subject_id: str
    details: dict[str, Any]


@dataclass(frozen=True, slots=True)
class AuditPage:
    """A page of the audit, newest first; ``older`` is the id to go on from, or None."""

    entries: tuple[AuditEntry, ...]
    older: int | None


def figures(session: Session) -> Figures:
    """Count what the school has, in one query."""
    row = session.execute(
        select(
            select(func.count())
            .select_from(StudentRow)
            .where(StudentRow.merged_into_id.is_(None))
            .scalar_subquery(),
            select(func.count())
            .select_from(SessionRow)
            .where(SessionRow.cancelled_at.is_(None))
            .scalar_subquery(),
            _count(BookingRow),
            select(func.count())
            .select_from(AttemptRow)
            .where(AttemptRow.struck_at.is_(None))
            .scalar_subquery(),
            _results(TestResult.PASS, TestResult.FAIL),
            _results(TestResult.PASS),
        )
    ).one()
    return Figures(*(int(value) for value in row))


def _count(table: Any) -> Any:
    return select(func.count()).select_from(table).scalar_subquery()


def _results(*results: TestResult) -> Any:
    return (
        select(func.count())
        .select_from(TestAppointmentRow)
        .where(TestAppointmentRow.result.in_(results))
        .scalar_subquery()
    )


def audit_page(session: Session, before: int | None = None) -> AuditPage:
    """The newest entries, or those before an id: one query, PAGE entries at most."""
    query = (
        select(AuditEntryRow, AccountRow.name)
        .outerjoin(AccountRow, AuditEntryRow.account_id == AccountRow.id)
        .order_by(AuditEntryRow.id.desc())
        .limit(PAGE + 1)
    )
    if before is not None:
        query = query.where(AuditEntryRow.id < before)
    found = session.execute(query).all()
    entries = tuple(_entry(row, name) for row, name in found[:PAGE])
    return AuditPage(entries, entries[-1].id if len(found) > PAGE else None)


def _entry(row: AuditEntryRow, name: str | None) -> AuditEntry:
    return AuditEntry(
        id=row.id,
        at=row.at,
        who=name or row.origin,
        origin=row.origin,
        action=row.action,
        subject=row.subject,
        subject_id=row.subject_id,
        details=row.details,
    )
