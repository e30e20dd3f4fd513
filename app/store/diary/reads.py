"""The diary by day and by week, and one session."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of, span_of
from app.rules.refusal import Missing
from app.store.diary.lines import (
    Place,
    SessionLine,
    held,
    place,
    place_query,
    session_line,
    session_query,
)
from app.store.diary.tables import BookingRow, SessionRow


@dataclass(frozen=True, slots=True)
class DayOfSessions:
    """The sessions of one day in order of time, cancelled ones too."""

    day: date
    sessions: tuple[SessionLine, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """A session on the board of a day, with those who hold its places."""

    session: SessionLine
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class BoardRow:
    """All sessions that start at one moment: a block, or None, for each column of the board."""

    starts_at: datetime
    blocks: tuple[Block | None, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """One day: a column for each instructor who has a session, a row for each starting time."""

    day: date
    instructors: tuple[str, ...]
    rows: tuple[BoardRow, ...]


@dataclass(frozen=True, slots=True)
class SessionPage:
    """One session with its bookings, and what an edit starts from."""

    line: SessionLine
    version: int
    yard_id: int
    remarks: str
    places: tuple[Place, ...]
    given_up: tuple[Place, ...]


def week(session: Session, monday: date, zone: ZoneInfo) -> tuple[DayOfSessions, ...]:
    """The seven days from ``monday`` on, those without a session too. One query."""
    begins, ends = span_of(monday, 7, zone)
    days: dict[date, list[SessionLine]] = {monday + timedelta(days=n): [] for n in range(7)}
    for line in _between(session, begins, ends):
        days[day_of(line.starts_at, zone)].append(line)
    return tuple(DayOfSessions(day, tuple(lines)) for day, lines in days.items())


def _between(session: Session, begins: datetime, ends: datetime) -> list[SessionLine]:
    found = session.execute(
        session_query()
        .where(SessionRow.starts_at >= begins, SessionRow.starts_at < ends)
        .order_by(SessionRow.starts_at, SessionRow.id)
    )
    return [session_line(row) for row in found]


def board(session: Session, day: date, zone: ZoneInfo) -> Board:
    """A day of instructors by time, without cancelled sessions. Two queries."""
    begins, ends = span_of(day, 1, zone)
    lines = [line for line in _between(session, begins, ends) if not line.cancelled]
    riders = _riders(session, begins, ends)
    blocks = [Block(line, riders.get(line.id, ())) for line in lines]
    names = dict(sorted((b.session.instructor_id, b.session.instructor) for b in blocks))
    rows = [BoardRow(at, _row(blocks, at, names)) for at in _starts(blocks)]
    return Board(day, tuple(names.values()), tuple(rows))


def _riders(session: Session, begins: datetime, ends: datetime) -> dict[int, tuple[Place, ...]]:
    query = place_query().join(SessionRow, BookingRow.session_id == SessionRow.id)
    found = session.execute(
        query.where(held(), SessionRow.starts_at >= begins, SessionRow.starts_at < ends)
    )
    riders: dict[int, tuple[Place, ...]] = {}
    for row in found:
        one = place(row)
        riders[one.session_id] = (*riders.get(one.session_id, ()), one)
    return riders


def _starts(blocks: Iterable[Block]) -> list[datetime]:
    return sorted({block.session.starts_at for block in blocks})


def _row(blocks: list[Block], at: datetime, names: Iterable[int]) -> tuple[Block | None, ...]:
    # An instructor has one session at a time, so at most one starts at one moment.
    here = {b.session.instructor_id: b for b in blocks if b.session.starts_at == at}
    return tuple(here.get(instructor) for instructor in names)


def booked_place(session: Session, booking_id: int) -> Place:
    """One booking; Missing when there is none. One query."""
    row = session.execute(place_query().where(BookingRow.id == booking_id)).one_or_none()
    if row is None:
        raise Missing
    return place(row)


def session_page(session: Session, session_id: int) -> SessionPage:
    """One session with all its bookings; Missing when there is none. Two queries."""
    row = session.execute(session_query().where(SessionRow.id == session_id)).one_or_none()
    if row is None:
        raise Missing
    places = [
        place(found)
        for found in session.execute(place_query().where(BookingRow.session_id == session_id))
    ]
    training: SessionRow = row.SessionRow
    return SessionPage(
        line=session_line(row),
        version=training.version,
        yard_id=training.yard_id,
        remarks=training.remarks,
        places=tuple(each for each in places if each.holds),
        given_up=tuple(each for each in places if not each.holds),
    )
