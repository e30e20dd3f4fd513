"""Sessions and places as lines of a list, and the queries that make them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, func, or_, select

from app.rules.diary.values import HELD_STATES, TAKING_STATES, BookingState, SessionKind
from app.rules.diary.words import KINDS, STATES
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.yards.tables import BikeRow, YardRow


@dataclass(frozen=True, slots=True)
class SessionLine:
    """One session in a list, with how many of its places are taken."""

    id: int
    starts_at: datetime
    ends_at: datetime
    kind: SessionKind
    yard: str
    instructor_id: int
    instructor: str
    places: int
    taken: int
    cancelled: bool

    @property
    def free(self) -> int:
        """Places left, never below none."""
        return max(0, self.places - self.taken)

    @property
    def kind_words(self) -> str:
        """What the session is for."""
        return KINDS[self.kind]


@dataclass(frozen=True, slots=True)
class Place:
    """One booking as a session shows it."""

    booking_id: int
    version: int
    session_id: int
    student_id: int
    student: str
    phone: str | None
    bike: str | None
    state: BookingState
    late: bool
    held_until: datetime | None
    course_id: int | None

    @property
    def holds(self) -> bool:
        """Whether the booking takes up its place."""
        return self.state in TAKING_STATES

    @property
    def state_words(self) -> str:
        """Where the booking stands."""
        late = self.state is BookingState.CANCELLED and self.late
        return f"{STATES[self.state]}{', late' if late else ''}"


def held() -> ColumnElement[bool]:
    """Whether a booking says for certain that its student comes, or came."""
    return BookingRow.state.in_(HELD_STATES)


def takes(now: datetime | None = None) -> ColumnElement[bool]:
    """Whether a booking takes up its place, its bike and its student.

    With ``now``, a place whose hold is over counts as free; writes need none, since
    they begin by ending the holds that are over.
    """
    if now is None:
        return BookingRow.state.in_(TAKING_STATES)
    still = (BookingRow.state == BookingState.HELD) & (BookingRow.held_until > now)
    return or_(held(), still)


def taken(now: datetime | None = None) -> Any:
    """How many places of a session are taken, as a column."""
    return (
        select(func.count())
        .select_from(BookingRow)
        .where(BookingRow.session_id == SessionRow.id, takes(now))
        .correlate(SessionRow)
        .scalar_subquery()
    )


def session_query(now: datetime | None = None) -> Select[Any]:
    """The columns of a session line; add what narrows it and pass the rows to session_line."""
    return (
        select(SessionRow, YardRow.name.label("yard"), InstructorRow.name.label("instructor"))
        .add_columns(taken(now).label("taken"))
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
    )


def session_line(row: Any) -> SessionLine:
    """A row of session_query as a line."""
    training: SessionRow = row.SessionRow
    return SessionLine(
        id=training.id,
        starts_at=training.starts_at,
        ends_at=training.ends_at,
        kind=training.kind,
        yard=row.yard,
        instructor_id=training.instructor_id,
        instructor=row.instructor,
        places=training.places,
        taken=row.taken,
        cancelled=training.cancelled_at is not None,
    )


def place_query() -> Select[Any]:
    """The columns of a place, by name of student."""
    return (
        select(BookingRow, StudentRow.name.label("student"), StudentRow.phone.label("phone"))
        .add_columns(BikeRow.label.label("bike"))
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .order_by(StudentRow.sought, BookingRow.id)
    )


def place(row: Any) -> Place:
    """A row of place_query as a place."""
    booking: BookingRow = row.BookingRow
    return Place(
        booking_id=booking.id,
        version=booking.version,
        session_id=booking.session_id,
        student_id=booking.student_id,
        student=row.student,
        phone=row.phone,
        bike=row.bike,
        state=booking.state,
        late=booking.late,
        held_until=booking.held_until,
        course_id=booking.course_id,
    )
