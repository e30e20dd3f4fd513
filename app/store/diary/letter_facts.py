"""Bookings as letters tell of them: who reads it, and what is so at this moment."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.rules.diary.appointments import Appointment
from app.rules.diary.letters import Sender
from app.rules.diary.values import BookingState, GivenUpFor
from app.rules.people.messages import MessageKind
from app.rules.refusal import Missing
from app.rules.settings import SchoolSettings
from app.store import settings
from app.store.diary.lines import takes
from app.store.diary.loading import zone_of
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow, UnwantedMessageRow
from app.store.yards.tables import BikeRow, YardRow


@dataclass(frozen=True, slots=True)
class Reader:
    """The student who would get a letter. ``own_page`` says that they can sign in."""

    id: int
    name: str
    email: str | None
    own_page: bool


@dataclass(frozen=True, slots=True)
class Told:
    """A booking as it stands, and its student."""

    booking_id: int
    state: BookingState
    given_up_for: GivenUpFor | None
    late: bool
    held_until: datetime | None
    course_id: int | None
    with_session: bool
    appointment: Appointment
    reader: Reader

    @property
    def gone_for(self) -> GivenUpFor | None:
        """Why it was given up; the school's doing when its session was cancelled."""
        return self.given_up_for or (GivenUpFor.SCHOOL if self.with_session else None)


def told(session: Session, booking_id: int) -> Told:
    """One booking; Missing when there is none. One query."""
    row = session.execute(told_query().where(BookingRow.id == booking_id)).one_or_none()
    if row is None:
        raise Missing
    return told_from(row)


def told_of_session(session: Session, session_id: int) -> tuple[Told, ...]:
    """The bookings that take up a place of a session. One query."""
    query = told_query().where(BookingRow.session_id == session_id)
    rows = session.execute(query.where(takes()))
    return tuple(told_from(row) for row in rows)


def told_of_course(session: Session, course_id: int) -> tuple[Told, ...]:
    """The bookings of a course that stand, in order of time. One query."""
    query = told_query().where(BookingRow.course_id == course_id)
    rows = session.execute(query.where(BookingRow.state == BookingState.BOOKED))
    return tuple(sorted(map(told_from, rows), key=lambda one: one.appointment.starts_at))


def told_query() -> Select[Any]:
    """All that :func:`told_from` needs; add what narrows it."""
    return (
        select(BookingRow, SessionRow, StudentRow, YardRow.name.label("yard"))
        .add_columns(InstructorRow.name.label("instructor"), BikeRow.label.label("bike"))
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
    )


def told_from(row: Any) -> Told:
    """A row of told_query."""
    booking: BookingRow = row.BookingRow
    return Told(
        booking_id=booking.id,
        state=booking.state,
        given_up_for=booking.given_up_for,
        late=booking.late,
        held_until=booking.held_until,
        course_id=booking.course_id,
        with_session=row.SessionRow.cancelled_at is not None,
        appointment=appointment_from_rows(row, row.BookingRow.bike_id),
        reader=reader_from(row.StudentRow),
    )


def reader_from(student: StudentRow) -> Reader:
    """A student as the reader of a letter."""
    return Reader(student.id, student.name, student.email, student.account_id is not None)


def appointment_from_rows(row: Any, bike_id: int | None) -> Appointment:
    """A place out of a session's row beside the names of its yard, instructor and ``bike``."""
    training: SessionRow = row.SessionRow
    return Appointment(
        starts_at=training.starts_at,
        ends_at=training.ends_at,
        kind=training.kind,
        yard_id=training.yard_id,
        yard=row.yard,
        instructor_id=training.instructor_id,
        instructor=row.instructor,
        bike_id=bike_id,
        bike=row.bike,
    )


def unwanted(session: Session, kind: MessageKind, students: Iterable[int]) -> set[int]:
    """Those of the students who chose not to get a kind of message. One query."""
    return set(
        session.scalars(
            select(UnwantedMessageRow.student_id)
            .where(UnwantedMessageRow.kind == kind)
            .where(UnwantedMessageRow.student_id.in_(set(students)))
        )
    )


def sender(session: Session) -> Sender:
    """The school as its letters sign."""
    return sender_from(settings.load(session))


def sender_from(school: SchoolSettings) -> Sender:
    """The school as its letters sign, from its settings."""
    return Sender(
        name=school.school_name,
        phone=school.school_phone,
        email=school.school_email,
        zone=zone_of(school),
        bring_and_wear=school.bring_and_wear,
        notice_hours=school.notice_hours,
    )
