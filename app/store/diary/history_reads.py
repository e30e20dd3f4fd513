"""Who did what and when: for one booking, one session, and one student. Read from the audit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, Select, String, and_, cast, or_, select, union
from sqlalchemy.orm import Session

from app.rules.diary.history import Names, history_words, numbers_in, who_words
from app.rules.words import moment_words
from app.store.accounts.tables import AccountRow
from app.store.audit import AuditEntryRow
from app.store.diary.tables import (
    BookingRow,
    CalendarFeedRow,
    CourseRow,
    OfferRow,
    SessionRow,
    WaitingRow,
)
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow

PAGE = 50
"""Entries on one page."""


@dataclass(frozen=True, slots=True)
class AboutBooking:
    """Whose booking an entry is about, and which session it is in now."""

    booking_id: int
    student_id: int
    student: str
    session_id: int
    starts_at: datetime


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One entry in words. ``about`` is None when it is about no booking."""

    at: datetime
    who: str
    what: str
    about: AboutBooking | None


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """Entries, newest first; ``older`` is the id to go on from, or None."""

    lines: tuple[HistoryLine, ...]
    older: int | None


def of_booking(
    session: Session, booking_id: int, before: int | None, zone: ZoneInfo
) -> HistoryPage:
    """The history of one booking. Four queries, whatever the length."""
    offers = select(cast(OfferRow.id, String)).where(OfferRow.booking_id == booking_id)
    return _page(
        session,
        or_(_entries("bookings", [str(booking_id)]), _entries("offers", offers)),
        before,
        zone,
    )


def of_session(
    session: Session, session_id: int, before: int | None, zone: ZoneInfo
) -> HistoryPage:
    """The history of a session and of every booking that is or was in it. Four queries."""
    bookings = select(cast(BookingRow.id, String)).where(BookingRow.session_id == session_id)
    left = select(AuditEntryRow.subject_id).where(
        AuditEntryRow.subject == "bookings",
        AuditEntryRow.action == "moved",
        AuditEntryRow.details["in_session"][0].as_integer() == session_id,
    )
    offers = select(cast(OfferRow.id, String)).where(OfferRow.session_id == session_id)
    which = or_(
        _entries("training_sessions", [str(session_id)]),
        _entries("bookings", union(bookings, left)),
        _entries("offers", offers),
    )
    return _page(session, which, before, zone)


def of_student(
    session: Session, student_id: int, before: int | None, zone: ZoneInfo
) -> HistoryPage:
    """The history of a student: their record, bookings, waiting and calendars. Four queries.

    Whoever was merged into them is told too.
    """
    same = or_(StudentRow.id == student_id, StudentRow.merged_into_id == student_id)
    students = select(StudentRow.id).where(same)
    waiting = select(WaitingRow.id).where(WaitingRow.student_id.in_(students))
    which = or_(
        _entries("students", select(cast(StudentRow.id, String)).where(same)),
        _entries("bookings", _of(BookingRow, students)),
        _entries("waiting", _of(WaitingRow, students)),
        _entries("courses", _of(CourseRow, students)),
        _entries("calendar_feeds", _of(CalendarFeedRow, students)),
        _entries(
            "offers", select(cast(OfferRow.id, String)).where(OfferRow.waiting_id.in_(waiting))
        ),
    )
    return _page(session, which, before, zone)


def _of(table: Any, students: Select[int]) -> Select[str]:
    return select(cast(table.id, String)).where(table.student_id.in_(students))


def _entries(subject: str, ids: Any) -> ColumnElement[bool]:
    return and_(AuditEntryRow.subject == subject, AuditEntryRow.subject_id.in_(ids))


def _page(
    session: Session, which: ColumnElement[bool], before: int | None, zone: ZoneInfo
) -> HistoryPage:
    query = (
        select(AuditEntryRow, AccountRow.name)
        .outerjoin(AccountRow, AuditEntryRow.account_id == AccountRow.id)
        .where(which)
        .order_by(AuditEntryRow.id.desc())
        .limit(PAGE + 1)
    )
    if before is not None:
        query = query.where(AuditEntryRow.id < before)
    found = session.execute(query).all()
    entries = [entry for entry, _ in found[:PAGE]]
    names, about = _names(session, entries, zone), _bookings(session, entries)
    lines = tuple(_line(entry, who, names, about) for entry, who in found[:PAGE])
    return HistoryPage(lines, entries[-1].id if len(found) > PAGE else None)


def _line(
    entry: AuditEntryRow, who: str | None, names: Names, about: dict[str, AboutBooking]
) -> HistoryLine:
    return HistoryLine(
        at=entry.at,
        who=who_words(who, entry.origin),
        what=history_words(entry.subject, entry.action, entry.details, names),
        about=about.get(entry.subject_id) if entry.subject == "bookings" else None,
    )


def _names(session: Session, entries: Iterable[AuditEntryRow], zone: ZoneInfo) -> Names:
    """What the details of the entries speak of, by name. Two queries."""
    told = [entry.details for entry in entries]
    bikes = {number for details in told for number in numbers_in(details, "bikes")}
    sessions = {number for details in told for number in numbers_in(details, "sessions")}
    labels = session.execute(select(BikeRow.id, BikeRow.label).where(BikeRow.id.in_(bikes)))
    starts = session.execute(
        select(SessionRow.id, SessionRow.starts_at).where(SessionRow.id.in_(sessions))
    )
    return Names(
        bikes={row.id: row.label for row in labels},
        sessions={row.id: moment_words(row.starts_at, zone) for row in starts},
    )


def _bookings(session: Session, entries: Iterable[AuditEntryRow]) -> dict[str, AboutBooking]:
    """The bookings that the entries are about, by the id that the audit keeps. One query."""
    ids = {int(entry.subject_id) for entry in entries if entry.subject == "bookings"}
    rows = session.execute(
        select(BookingRow, StudentRow.name, SessionRow.starts_at)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .where(BookingRow.id.in_(ids))
    )
    return {
        str(row.id): AboutBooking(row.id, row.student_id, name, row.session_id, starts_at)
        for row, name, starts_at in rows
    }
