"""Sessions of some days with those who hold their places, as the time grids show them."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from app.rules.diary.facts import Span
from app.rules.diary.showing import By, Showing
from app.rules.diary.values import BookingState
from app.store.diary.lines import SessionLine, session_line, session_query, takes
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow


@dataclass(frozen=True, slots=True)
class Seat:
    """A place that is taken: by whom, on which bike, and until when if it is only held."""

    student_id: int
    student: str
    bike_id: int | None
    bike: str | None
    here: bool
    held_until: datetime | None


@dataclass(frozen=True, slots=True)
class Block:
    """A session with the places that are taken in it."""

    session: SessionLine
    yard_id: int
    seats: tuple[Seat, ...]

    @property
    def span(self) -> Span:
        """When it is."""
        return Span(self.session.starts_at, self.session.ends_at)

    def belongs_to(self, showing: Showing) -> bool:
        """Whether one instructor, yard or bike has it."""
        if showing.by is By.BIKE:
            return any(seat.bike_id == showing.id for seat in self.seats)
        own = self.session.instructor_id if showing.by is By.INSTRUCTOR else self.yard_id
        return own == showing.id


def blocks(
    session: Session, begins: datetime, ends: datetime, now: datetime, showing: Showing
) -> tuple[Block, ...]:
    """The sessions that touch a time, in order, cancelled ones too. Two queries.

    Only those of one instructor, yard or bike when ``showing`` names one.
    """
    touching = (
        SessionRow.starts_at < ends,
        SessionRow.ends_at > begins,
        *_narrowed(showing, now),
    )
    seats = _seats(session, touching, now)
    found = session.execute(
        session_query(now).where(*touching).order_by(SessionRow.starts_at, SessionRow.id)
    )
    return tuple(
        Block(session_line(row), row.SessionRow.yard_id, tuple(seats[row.SessionRow.id]))
        for row in found
    )


def _narrowed(showing: Showing, now: datetime) -> tuple[ColumnElement[bool], ...]:
    if showing.id is None:
        return ()
    if showing.by is By.INSTRUCTOR:
        return (SessionRow.instructor_id == showing.id,)
    if showing.by is By.YARD:
        return (SessionRow.yard_id == showing.id,)
    ridden = select(BookingRow.session_id).where(BookingRow.bike_id == showing.id, takes(now))
    return (SessionRow.id.in_(ridden),)


def _seats(
    session: Session, touching: tuple[ColumnElement[bool], ...], now: datetime
) -> defaultdict[int, list[Seat]]:
    rows = session.execute(
        select(BookingRow, StudentRow.name.label("student"), BikeRow.label.label("bike"))
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(takes(now), *touching)
        .order_by(StudentRow.sought, BookingRow.id)
    )
    seats: defaultdict[int, list[Seat]] = defaultdict(list)
    for row in rows:
        one: BookingRow = row.BookingRow
        seats[one.session_id].append(_seat(one, row.student, row.bike))
    return seats


def _seat(booking: BookingRow, student: str, bike: str | None) -> Seat:
    return Seat(
        student_id=booking.student_id,
        student=student,
        bike_id=booking.bike_id,
        bike=bike,
        here=booking.state is BookingState.ATTENDED,
        held_until=booking.held_until,
    )
