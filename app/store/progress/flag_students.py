"""Whom a list of flags is about: who is booked where, and who teaches whom."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, Select, func, or_, select
from sqlalchemy.orm import Session

from app.rules.diary.clock import monday_of, span_of
from app.rules.progress.target import Standing
from app.store.diary.lines import SessionLine, held, session_line, session_query
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.progress.tables import LearnerRow

WEEK_DAYS = 7

LEARNING_DAYS = 90
"""Who has ridden within so many days counts as learning now. Ours, invented."""


class Where(StrEnum):
    """Whom a list is about, where it is not one session."""

    WEEK = "week"
    LEARNING = "learning"
    SCHOOL = "school"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a list of flags is narrowed to; None narrows nothing.

    ``session_id`` is one session; without one it is the students booked from Monday to
    Sunday of this week, those learning now (they rode lately, or are booked), or all.
    ``manoeuvre`` is a code.
    """

    session_id: int | None = None
    where: Where = Where.WEEK
    manoeuvre: str | None = None
    standing: Standing | None = None
    instructor_id: int | None = None


@dataclass(frozen=True, slots=True)
class Coming:
    """The next session that a student is booked in."""

    starts_at: datetime
    instructor: str


def students(wanted: Wanted, now: datetime, zone: ZoneInfo) -> Select[int]:
    """The ids of the students that a list is about, without its manoeuvre and standing."""
    query = select(StudentRow.id)
    if wanted.session_id is not None:
        query = query.where(_booked(SessionRow.id == wanted.session_id))
    elif wanted.where is Where.WEEK:
        begins, ends = this_week(now, zone)
        query = query.where(_booked(SessionRow.starts_at >= begins, SessionRow.starts_at < ends))
    elif wanted.where is Where.LEARNING:
        query = query.where(_learning(now))
    if wanted.instructor_id is not None:
        query = query.where(_taught_by(wanted.instructor_id, now))
    return query


def this_week(now: datetime, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """From the beginning of Monday to the end of Sunday at the school."""
    today: date = now.astimezone(zone).date()
    return span_of(monday_of(today), WEEK_DAYS, zone)


def sessions_to_choose(session: Session, now: datetime, zone: ZoneInfo) -> list[SessionLine]:
    """The sessions of this week and the next that are not cancelled, by time. One query."""
    begins, ends = this_week(now, zone)
    found = session.execute(
        session_query()
        .where(SessionRow.starts_at >= begins, SessionRow.starts_at < ends + timedelta(days=7))
        .where(SessionRow.cancelled_at.is_(None))
        .order_by(SessionRow.starts_at, SessionRow.id)
    )
    return [session_line(row) for row in found]


def instructors_to_choose(session: Session) -> list[tuple[int, str]]:
    """The instructors who teach, by name. One query."""
    query = select(InstructorRow.id, InstructorRow.name).where(InstructorRow.active)
    return [(row.id, row.name) for row in session.execute(query.order_by(InstructorRow.name))]


def coming_of(session: Session, ids: Iterable[int], now: datetime) -> Mapping[int, Coming]:
    """The next session of each student who has one. One query."""
    nth = func.row_number().over(
        partition_by=BookingRow.student_id, order_by=(SessionRow.starts_at, SessionRow.id)
    )
    places = (
        _places()
        .with_only_columns(BookingRow.student_id, SessionRow.starts_at, SessionRow.instructor_id)
        .add_columns(nth.label("nth"))
        .where(BookingRow.student_id.in_(list(ids)), SessionRow.ends_at > now)
        .subquery()
    )
    found = session.execute(
        select(places.c.student_id, places.c.starts_at, InstructorRow.name)
        .join(InstructorRow, InstructorRow.id == places.c.instructor_id)
        .where(places.c.nth == 1)
    )
    return {student: Coming(starts_at, name) for student, starts_at, name in found}


def _places() -> Select[Any]:
    """Places held in sessions that take place."""
    return (
        select(BookingRow.student_id)
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .where(held(), SessionRow.cancelled_at.is_(None))
    )


def _booked(*where: ColumnElement[bool]) -> ColumnElement[bool]:
    return StudentRow.id.in_(_places().where(*where))


def _learning(now: datetime) -> ColumnElement[bool]:
    lately = LearnerRow.last_ridden_at >= now - timedelta(days=LEARNING_DAYS)
    rode = select(LearnerRow.student_id).where(lately)
    return or_(StudentRow.id.in_(rode), _booked(SessionRow.ends_at > now))


def _taught_by(instructor_id: int, now: datetime) -> ColumnElement[bool]:
    """Whether the student is booked with this instructor, or had their last session with them."""
    coming = _places().where(SessionRow.ends_at > now, SessionRow.instructor_id == instructor_id)
    latest = func.row_number().over(
        partition_by=BookingRow.student_id, order_by=(SessionRow.starts_at.desc(), SessionRow.id)
    )
    past = (
        _places()
        .add_columns(SessionRow.instructor_id, latest.label("nth"))
        .where(SessionRow.ends_at <= now)
        .subquery()
    )
    last = select(past.c.student_id).where(past.c.nth == 1, past.c.instructor_id == instructor_id)
    return or_(StudentRow.id.in_(coming), StudentRow.id.in_(last))
