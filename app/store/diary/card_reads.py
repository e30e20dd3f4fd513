"""What the desk sees of one student, and the choices when it books them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session, aliased

from app.rules.categories import Category
from app.rules.diary.authorised import teach_warnings
from app.rules.diary.bikes import preference, suits
from app.rules.diary.clock import day_of
from app.rules.diary.facts import Span
from app.rules.papers.seen import Holder, SeenPaper, warnings
from app.rules.people.ages import age_on
from app.rules.people.students import StudentFacts
from app.store.diary.lines import (
    Place,
    SessionLine,
    place,
    session_line,
    session_query,
    taken,
    takes,
)
from app.store.diary.loading import teacher
from app.store.diary.outbox_reads import MessageLine, bounced, messages_of
from app.store.diary.tables import BookingRow, SessionRow
from app.store.diary.waiting_reads import WaitingLine, waiting_list
from app.store.papers.reads import Paper, papers_of
from app.store.people.reads import StudentRecord, student
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow

SOONEST = 3
SHOWN = 40


@dataclass(frozen=True, slots=True)
class StudentPlace:
    """A place of one student, and the session that it lies in."""

    place: Place
    session: SessionLine


@dataclass(frozen=True, slots=True)
class StudentCard:
    """A student at the desk. ``coming`` is in order of time, ``past`` newest first.

    ``messages`` are the last emails to them; ``bounced`` is why none reaches them any more.
    """

    student: StudentRecord
    age: int | None
    papers: tuple[Paper, ...]
    warnings: tuple[str, ...]
    coming: tuple[StudentPlace, ...]
    past: tuple[StudentPlace, ...]
    soonest: tuple[SessionLine, ...]
    waiting: tuple[WaitingLine, ...]
    messages: tuple[MessageLine, ...]
    bounced: str | None


@dataclass(frozen=True, slots=True)
class BikeChoice:
    """A bike that is free for a student in a session."""

    id: int
    label: str
    category: Category
    registration: str


def card(session: Session, student_id: int, now: datetime, zone: ZoneInfo) -> StudentCard:
    """All that the desk sees of a student; Missing when there is none. Seven queries."""
    record = student(session, student_id)
    papers = papers_of(session, student_id)
    places = _places(session, student_id)
    today = day_of(now, zone)
    born = record.facts.date_of_birth
    return StudentCard(
        student=record,
        age=age_on(born, today) if born else None,
        papers=papers,
        warnings=warnings(_holder(record.facts), [paper.seen for paper in papers], today),
        coming=tuple(reversed([p for p in places if p.session.ends_at > now and p.place.holds])),
        past=tuple(p for p in places if p.session.ends_at <= now or not p.place.holds),
        soonest=soonest(session, student_id, now),
        waiting=waiting_list(session, student_id),
        messages=messages_of(session, student_id, now),
        bounced=bounced(session, student_id),
    )


def warned_on(
    session: Session,
    record: StudentRecord,
    instructor_id: int,
    bike: Category | None,
    day: date,
) -> tuple[str, ...]:
    """What to check before a student is booked on a bike of this category. Two queries.

    It is about their papers and age on the day of the session, and about what its
    instructor may teach.
    """
    papers: list[SeenPaper] = [paper.seen for paper in papers_of(session, record.id)]
    gives = teacher(session, instructor_id)
    return (
        *warnings(_holder(record.facts), papers, day),
        *teach_warnings(gives, record.facts.category, bike, day),
    )


def _holder(facts: StudentFacts) -> Holder:
    guarded = bool(facts.guardian_name and facts.guardian_phone)
    return Holder(facts.category, facts.date_of_birth, guarded)


def _places(session: Session, student_id: int) -> list[StudentPlace]:
    query = (
        session_query()
        .add_columns(BookingRow, StudentRow.name.label("student"), StudentRow.phone.label("phone"))
        .add_columns(BikeRow.label.label("bike"))
        .join(BookingRow, BookingRow.session_id == SessionRow.id)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(BookingRow.student_id == student_id)
        .order_by(SessionRow.starts_at.desc(), BookingRow.id.desc())
        .limit(SHOWN)
    )
    return [StudentPlace(place(row), session_line(row)) for row in session.execute(query)]


def soonest(session: Session, student_id: int, now: datetime) -> tuple[SessionLine, ...]:
    """The next sessions with a free place, at times at which the student is free. One query."""
    query = (
        session_query(now)
        .where(SessionRow.ends_at > now, SessionRow.cancelled_at.is_(None))
        .where(taken(now) < SessionRow.places, ~_busy(student_id, now))
        .order_by(SessionRow.starts_at, SessionRow.id)
        .limit(SOONEST)
    )
    return tuple(session_line(row) for row in session.execute(query))


def _busy(student_id: int, now: datetime) -> ColumnElement[bool]:
    other = aliased(SessionRow)
    return (
        select(BookingRow.id)
        .join(other, BookingRow.session_id == other.id)
        .where(BookingRow.student_id == student_id, takes(now))
        .where(other.starts_at < SessionRow.ends_at, other.ends_at > SessionRow.starts_at)
        .correlate(SessionRow)
        .exists()
    )


def free_bikes(
    session: Session, line: SessionLine | Span, category: Category, now: datetime
) -> tuple[BikeChoice, ...]:
    """The bikes on the road that suit a student and are free all through a session, best first.

    Best is one of the student's own category. One query.
    """
    used = (
        select(BookingRow.bike_id)
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .where(takes(now), BookingRow.bike_id.is_not(None))
        .where(SessionRow.starts_at < line.ends_at, SessionRow.ends_at > line.starts_at)
    )
    rows = session.scalars(
        select(BikeRow)
        .where(BikeRow.off_road_since.is_(None), BikeRow.id.not_in(used))
        .order_by(BikeRow.id)
    )
    fit = [row for row in rows if suits(row.category, category)]
    fit.sort(key=lambda row: preference(row.category, category))
    return tuple(BikeChoice(row.id, row.label, row.category, row.registration) for row in fit)
