"""From rows to what the rules of the diary are told, inside the transaction that asks them."""

from __future__ import annotations

from collections.abc import Collection
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.rules.diary.facts import (
    BikeState,
    Held,
    InstructorState,
    Neighbour,
    Rider,
    SessionState,
    Span,
    Teacher,
    YardState,
)
from app.rules.diary.values import SessionKind
from app.rules.refusal import Missing, Reason, Refused
from app.rules.settings import SchoolSettings
from app.store import settings
from app.store.diary.lines import takes
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.reads import student_row
from app.store.people.tables import AuthorisationRow, InstructorRow, StudentRow
from app.store.yards.tables import BikeRow, YardRow


def zone_of(school: SchoolSettings) -> ZoneInfo:
    """The school's time zone."""
    return ZoneInfo(school.time_zone)


def school_zone(session: Session) -> ZoneInfo:
    """The time zone of the school whose database this is."""
    return zone_of(settings.load(session))


def session_row(session: Session, session_id: int) -> SessionRow:
    """A session's row; Missing when there is none."""
    row = session.get(SessionRow, session_id)
    if row is None:
        raise Missing
    return row


def span(row: SessionRow) -> Span:
    """The time of a session."""
    return Span(row.starts_at, row.ends_at)


def session_state(session: Session, row: SessionRow) -> SessionState:
    """A session as it stands now, with its places that are taken."""
    yard, taken = session.execute(
        select(
            select(YardRow.name).where(YardRow.id == row.yard_id).scalar_subquery(),
            select(func.count())
            .select_from(BookingRow)
            .where(BookingRow.session_id == row.id, takes())
            .scalar_subquery(),
        )
    ).one()
    cancelled = row.cancelled_at is not None
    gives = teacher(session, row.instructor_id)
    return SessionState(span(row), yard, row.places, taken, cancelled, gives)


def teacher(session: Session, instructor_id: int) -> Teacher:
    """Who gives a session, and what is on file of their authorisations. One query."""
    rows = session.execute(
        select(InstructorRow.name, AuthorisationRow.kind, AuthorisationRow.expires_on)
        .outerjoin(AuthorisationRow, AuthorisationRow.instructor_id == InstructorRow.id)
        .where(InstructorRow.id == instructor_id)
    ).all()
    return Teacher(rows[0].name, {row.kind: row.expires_on for row in rows if row.kind})


def yard_state(session: Session, yard_id: int) -> YardState:
    """The yard that was chosen; Refused when there is none."""
    row = session.get(YardRow, yard_id)
    if row is None:
        raise Refused(Reason("Choose a yard from the list.", "yard_id"))
    return yard_from(row)


def yard_from(row: YardRow) -> YardState:
    """A yard as the rules are told of it."""
    return YardState(row.name, row.length_m, row.width_m, row.places, row.open, row.id)


def instructor_state(session: Session, instructor_id: int) -> InstructorState:
    """The instructor who was chosen; Refused when there is none."""
    row = session.get(InstructorRow, instructor_id)
    if row is None:
        raise Refused(Reason("Choose an instructor from the list.", "instructor_id"))
    return instructor_from(row)


def instructor_from(row: InstructorRow) -> InstructorState:
    """An instructor as the rules are told of them."""
    return InstructorState(row.name, row.active, row.id)


def rider(session: Session, student_id: int) -> Rider:
    """The student whom a booking is for; Missing when there is none."""
    return rider_from(student_row(session, student_id))


def riders(session: Session, students: Collection[int]) -> dict[int, Rider]:
    """The same for several at once, by id. One query."""
    known = select(StudentRow).where(StudentRow.id.in_(students))
    rows = session.scalars(known.where(StudentRow.merged_into_id.is_(None)))
    return {row.id: rider_from(row) for row in rows}


def rider_from(row: StudentRow) -> Rider:
    """A student as the rules are told of them."""
    guarded = bool(row.guardian_name and row.guardian_phone)
    return Rider(row.name, row.category, row.date_of_birth, guarded)


def bike_state(session: Session, bike_id: int | None) -> BikeState | None:
    """The bike that was chosen, None for the student's own; Refused for one that is not ours."""
    if bike_id is None:
        return None
    row = session.get(BikeRow, bike_id)
    if row is None:
        raise Refused(Reason("Choose a bike from the list.", "bike_id"))
    return bike_from(row)


def bike_from(row: BikeRow) -> BikeState:
    """A bike as the rules are told of it."""
    return BikeState(row.label, row.category, row.off_road_reason)


def neighbours(
    session: Session,
    when: Span,
    yard_id: int,
    instructor_id: int,
    but: int | None,
    gap: timedelta = timedelta(),
) -> tuple[Neighbour, ...]:
    """The sessions within ``gap`` of a time in this yard or with this instructor, not ``but``."""
    rows = session.execute(
        select(SessionRow, YardRow.name.label("yard"), InstructorRow.name.label("instructor"))
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .where(SessionRow.cancelled_at.is_(None), SessionRow.id != but)
        .where(SessionRow.starts_at < when.ends_at + gap, SessionRow.ends_at > when.starts_at - gap)
        .where(or_(SessionRow.yard_id == yard_id, SessionRow.instructor_id == instructor_id))
        .order_by(SessionRow.starts_at)
    )
    return tuple(
        Neighbour(
            span=span(row.SessionRow),
            yard=row.yard,
            instructor=row.instructor,
            places=row.SessionRow.places,
            same_yard=row.SessionRow.yard_id == yard_id,
            same_instructor=row.SessionRow.instructor_id == instructor_id,
            on_road=row.SessionRow.kind is SessionKind.ROAD,
        )
        for row in rows
    )


def held_around(
    session: Session,
    when: Span,
    session_id: int,
    students: Collection[int],
    bikes: Collection[int],
    but: int | None = None,
) -> tuple[Held, ...]:
    """The places that these students, and others on these bikes, hold in an overlapping time.

    The booking ``but`` is left out: it is the one that is about to be moved.
    """
    rows = session.execute(
        select(BookingRow, SessionRow, YardRow.name.label("yard"))
        .add_columns(StudentRow.name.label("student"), BikeRow.label.label("bike"))
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(takes(), SessionRow.starts_at < when.ends_at, SessionRow.ends_at > when.starts_at)
        .where(or_(BookingRow.student_id.in_(students), BookingRow.bike_id.in_(bikes)))
        .where(BookingRow.id != but)
        .order_by(SessionRow.starts_at, BookingRow.id)
    )
    return tuple(_held(row, session_id, students, bikes) for row in rows)


def _held(row: Any, session_id: int, students: Collection[int], bikes: Collection[int]) -> Held:
    booking: BookingRow = row.BookingRow
    return Held(
        span=span(row.SessionRow),
        yard=row.yard,
        student=row.student,
        bike=row.bike,
        same_student=booking.student_id in students,
        same_bike=booking.bike_id in bikes,
        same_session=booking.session_id == session_id,
    )


def held_elsewhere(session: Session, row: SessionRow, when: Span) -> tuple[Held, ...]:
    """Where the riders and bikes of a session would be at another time, in other sessions."""
    own = session.execute(
        select(BookingRow.student_id, BookingRow.bike_id).where(
            BookingRow.session_id == row.id, takes()
        )
    ).all()
    students = {one.student_id for one in own}
    bikes = {one.bike_id for one in own if one.bike_id is not None}
    around = held_around(session, when, row.id, students, bikes)
    return tuple(place for place in around if not place.same_session)
