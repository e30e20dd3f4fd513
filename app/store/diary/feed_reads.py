"""What calendars outside the school are given."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, Select, String, and_, cast, func, or_, select
from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of, span_of
from app.rules.diary.feeds import (
    FeedEvent,
    FeedPlace,
    FeedRider,
    FeedSession,
    kept_cancelled_since,
    newest_of,
    staff_event,
    student_event,
    window,
)
from app.rules.diary.values import BookingState
from app.rules.settings import SchoolSettings
from app.store.audit import AuditEntryRow
from app.store.diary.feed_addresses import FoundFeed
from app.store.diary.lines import takes
from app.store.diary.loading import zone_of
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.yards.tables import BikeRow, YardRow


@dataclass(frozen=True, slots=True)
class FeedContent:
    """All events of a calendar by time, and when anything in it can last have changed."""

    name: str
    begins: datetime
    ends: datetime
    events: tuple[FeedEvent, ...]
    changed_at: datetime


def content(
    session: Session, found: FoundFeed, school: SchoolSettings, now: datetime
) -> FeedContent:
    """What a calendar holds at a moment: one query for a student, two for anyone else."""
    zone = zone_of(school)
    begins, ends = window(now, zone)
    if found.owner.student_id is not None:
        events = [
            student_event(one, school, now, zone) for one in _places(session, found, now, zone)
        ]
    else:
        whose = found.owner.instructor_id is None
        taught = _sessions(session, found, now, zone)
        events = [staff_event(one, school.calendar_key, whose=whose) for one in taught]
    newest = max((e.changed_at for e in events if e.changed_at), default=found.changed_at)
    return FeedContent(
        name=f"{found.name}, {school.school_name}" if found.name else school.school_name,
        begins=begins,
        ends=ends,
        events=tuple(events),
        # The window moves on by a day at midnight, so what is shown can change then.
        changed_at=min(now, max(found.changed_at, newest, span_of(day_of(now, zone), 1, zone)[0])),
    )


def _changed(subject: str, number: Any) -> Any:
    """When a record was last changed by the audit, as a column."""
    return (
        select(func.max(AuditEntryRow.at))
        .where(AuditEntryRow.subject == subject)
        .where(AuditEntryRow.subject_id == cast(number, String))
        .scalar_subquery()
    )


def _shown(cancelled_at: Any, now: datetime, zone: ZoneInfo) -> ColumnElement[bool]:
    begins, ends = window(now, zone)
    return and_(
        SessionRow.ends_at > begins,
        SessionRow.starts_at < ends,
        or_(cancelled_at.is_(None), cancelled_at >= kept_cancelled_since(now, zone)),
    )


def _places(session: Session, found: FoundFeed, now: datetime, zone: ZoneInfo) -> list[FeedPlace]:
    rows = session.execute(
        select(BookingRow, SessionRow, YardRow.name.label("yard"))
        .add_columns(InstructorRow.name.label("instructor"), BikeRow.label.label("bike"))
        .add_columns(_changed("bookings", BookingRow.id).label("changed"))
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(BookingRow.student_id == found.owner.student_id)
        .where(_shown(BookingRow.cancelled_at, now, zone))
        .order_by(SessionRow.starts_at, BookingRow.id)
    )
    return [_place(row) for row in rows]


def _place(row: Any) -> FeedPlace:
    booking: BookingRow = row.BookingRow
    training: SessionRow = row.SessionRow
    return FeedPlace(
        booking_id=booking.id,
        version=booking.version,
        state=booking.state,
        held_until=booking.held_until,
        kind=training.kind,
        starts_at=training.starts_at,
        ends_at=training.ends_at,
        instructor=row.instructor,
        yard=row.yard,
        bike=row.bike,
        changed_at=newest_of(booking.booked_at, booking.cancelled_at, row.changed),
    )


def _which(found: FoundFeed, now: datetime, zone: ZoneInfo) -> ColumnElement[bool]:
    shown = _shown(SessionRow.cancelled_at, now, zone)
    mine = found.owner.instructor_id
    return shown if mine is None else and_(shown, SessionRow.instructor_id == mine)


def _sessions(
    session: Session, found: FoundFeed, now: datetime, zone: ZoneInfo
) -> list[FeedSession]:
    which = _which(found, now, zone)
    riders: dict[int, list[Any]] = {}
    for row in session.execute(_riders(which, now)):
        riders.setdefault(row.session_id, []).append(row)
    rows = session.execute(
        select(SessionRow, YardRow.name.label("yard"), InstructorRow.name.label("instructor"))
        .add_columns(_changed("training_sessions", SessionRow.id).label("changed"))
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .where(which)
        .order_by(SessionRow.starts_at, SessionRow.id)
    )
    return [_session(row, riders.get(row.SessionRow.id, [])) for row in rows]


def _riders(which: ColumnElement[bool], now: datetime) -> Select[Any]:
    """Every booking of the sessions, those given up too: that they were is a change."""
    return (
        select(BookingRow.session_id, BookingRow.state, takes(now).label("takes"))
        .add_columns(BookingRow.booked_at, StudentRow.name, BikeRow.label.label("bike"))
        .add_columns(_changed("bookings", BookingRow.id).label("changed"))
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(which)
        .order_by(StudentRow.sought, BookingRow.id)
    )


def _session(row: Any, riders: list[Any]) -> FeedSession:
    training: SessionRow = row.SessionRow
    changes = (one.changed or one.booked_at for one in riders)
    return FeedSession(
        session_id=training.id,
        version=training.version,
        cancelled=training.cancelled_at is not None,
        kind=training.kind,
        starts_at=training.starts_at,
        ends_at=training.ends_at,
        instructor=row.instructor,
        yard=row.yard,
        places=training.places,
        riders=tuple(_rider(one) for one in riders if one.takes),
        changed_at=newest_of(row.changed, training.cancelled_at, *changes),
    )


def _rider(row: Any) -> FeedRider:
    return FeedRider(row.name, row.bike, held=row.state is BookingState.HELD)
