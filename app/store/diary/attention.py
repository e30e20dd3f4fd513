"""What needs a look at the desk."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of
from app.rules.diary.values import BookingState
from app.rules.papers.lives import in_force
from app.rules.papers.values import PaperKind
from app.store.accounts.tables import AccountRow
from app.store.diary.outbox_reads import to_decide
from app.store.diary.shut_days import RunningOut, ShutDays, running_out, shut_days
from app.store.diary.tables import BookingRow, SessionRow
from app.store.papers.tables import PaperRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow

BACK = timedelta(days=14)
AHEAD = timedelta(days=14)
MOST = 10
"""How many lines of each kind are shown; the rest come up as these are dealt with."""


@dataclass(frozen=True, slots=True)
class Look:
    """One thing that needs a look: a student in a session, and why."""

    student_id: int
    student: str
    session_id: int
    starts_at: datetime
    why: str


@dataclass(frozen=True, slots=True)
class Defect:
    """A bike that was taken off the road from the yard, and by whom."""

    bike_id: int
    bike: str
    since: datetime
    reason: str
    reported_by: str


@dataclass(frozen=True, slots=True)
class Attention:
    """All that needs a look, in the order in which it is dealt with.

    ``messages`` are of the last days, those that only the desk can decide about.
    """

    defects: tuple[Defect, ...]
    bikes: tuple[Look, ...]
    papers: tuple[Look, ...]
    unmarked: tuple[Look, ...]
    messages: int
    shut: tuple[ShutDays, ...]
    running_out: tuple[RunningOut, ...]

    def __bool__(self) -> bool:
        """Whether there is anything at all."""
        students = self.bikes or self.papers or self.unmarked
        return bool(self.messages or self.defects or students or self.shut or self.running_out)


def attention(session: Session, now: datetime, zone: ZoneInfo) -> Attention:
    """What needs a look at a moment. Nine queries."""
    return Attention(
        _defects(session),
        _bikes(session, now),
        _papers(session, now, zone),
        _unmarked(session, now),
        to_decide(session, now, now - BACK),
        shut_days(session, now, zone)[:MOST],
        running_out(session, day_of(now, zone))[:MOST],
    )


def _defects(session: Session) -> tuple[Defect, ...]:
    rows = session.execute(
        select(BikeRow, AccountRow.name)
        .join(AccountRow, BikeRow.reported_by == AccountRow.id)
        .where(BikeRow.off_road_since.is_not(None))
        .order_by(BikeRow.off_road_since.desc(), BikeRow.id)
        .limit(MOST)
    )
    return tuple(
        Defect(bike.id, bike.label, bike.off_road_since, bike.off_road_reason or "", name)
        for bike, name in rows
        if bike.off_road_since is not None
    )


def _booked(*columns: Any) -> Select[Any]:
    return (
        select(StudentRow.id, StudentRow.name, SessionRow.id.label("session_id"))
        .add_columns(SessionRow.starts_at, *columns)
        .select_from(BookingRow)
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .where(BookingRow.state == BookingState.BOOKED)
        .order_by(SessionRow.starts_at, StudentRow.sought)
    )


def _look(row: Any, why: str) -> Look:
    return Look(row.id, row.name, row.session_id, row.starts_at, why)


def _bikes(session: Session, now: datetime) -> tuple[Look, ...]:
    query = (
        _booked(BikeRow.label)
        .join(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(SessionRow.ends_at > now, BikeRow.off_road_since.is_not(None))
        .limit(MOST)
    )
    return tuple(
        _look(row, f"{row.label} is off the road. Give them another bike.")
        for row in session.execute(query)
    )


def _papers(session: Session, now: datetime, zone: ZoneInfo) -> tuple[Look, ...]:
    """Certificates of those who are booked that have lapsed by the day of the session."""
    query = (
        _booked(PaperRow.issued_on, PaperRow.expires_on)
        .join(PaperRow, PaperRow.student_id == StudentRow.id)
        .where(SessionRow.ends_at > now, SessionRow.starts_at < now + AHEAD)
        .where(PaperRow.kind == PaperKind.CBT)
        .add_columns(BookingRow.id.label("booking_id"))
    )
    newest: dict[int, Any] = {}
    for row in session.execute(query):
        known = newest.get(row.booking_id)
        if known is None or row.issued_on > known.issued_on:
            newest[row.booking_id] = row
    lapsed = [row for row in newest.values() if _gone(row, zone)]
    return tuple(
        _look(row, in_force(PaperKind.CBT, row.issued_on, row.expires_on, row.expires_on).reason)
        for row in lapsed[:MOST]
    )


def _gone(row: Any, zone: ZoneInfo) -> bool:
    return row.expires_on is not None and row.expires_on <= day_of(row.starts_at, zone)


def _unmarked(session: Session, now: datetime) -> tuple[Look, ...]:
    query = _booked().where(SessionRow.ends_at <= now, SessionRow.ends_at > now - BACK).limit(MOST)
    return tuple(
        _look(row, "The session is over. Mark whether they were here.")
        for row in session.execute(query)
    )
