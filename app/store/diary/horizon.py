"""Everything that finding a place depends on, for a range of days, as plain facts."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from app.rules.diary.clock import span_of
from app.rules.diary.facts import Span
from app.rules.diary.finding_facts import (
    Horizon,
    KnownBike,
    KnownInstructor,
    KnownYard,
    Listed,
    Taking,
    horizon_of,
)
from app.rules.yards.area import YardFacts
from app.store import settings
from app.store.diary import school_days
from app.store.diary.lines import takes
from app.store.diary.loading import bike_from, instructor_from, yard_from
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow
from app.store.yards.tables import BikeRow, YardRow

MARGIN = timedelta(days=1)
"""What lies so far outside the days can still be in the way of something inside them."""


def load(
    session: Session, first_day: date, last_day: date, now: datetime, zone: ZoneInfo
) -> Horizon:
    """The diary from one day to another, both included. Twelve queries, however full it is.

    A place whose hold was over by ``now`` is free.
    """
    begins, _ = span_of(first_day, 1, zone)
    _, ends = span_of(last_day, 1, zone)
    near = (SessionRow.starts_at < ends + MARGIN, SessionRow.ends_at > begins - MARGIN)
    return horizon_of(
        (first_day, last_day),
        _sessions(session, near, zone),
        _takings(session, near, now),
        _yards(session),
        _instructors(session),
        _bikes(session),
        school_days.load(session, first_day, last_day, settings.load(session)),
    )


def _sessions(
    session: Session, near: tuple[ColumnElement[bool], ...], zone: ZoneInfo
) -> Iterator[Listed]:
    rows = session.execute(
        select(
            SessionRow.id,
            SessionRow.kind,
            SessionRow.yard_id,
            SessionRow.instructor_id,
            SessionRow.starts_at,
            SessionRow.ends_at,
            SessionRow.places,
        ).where(SessionRow.cancelled_at.is_(None), *near)
    )
    clock: dict[datetime, datetime] = {}  # many begin and end at the same moments

    def local(moment: datetime) -> datetime:
        if moment not in clock:
            clock[moment] = moment.astimezone(zone)
        return clock[moment]

    for number, kind, yard, instructor, starts, ends, places in rows:
        begins, until = local(starts), local(ends)
        yield Listed(
            id=number,
            kind=kind,
            yard_id=yard,
            instructor_id=instructor,
            span=Span(starts, ends),
            places=places,
            day=begins.date(),
            begins=begins.time(),
            ends=until.time() if begins.date() == until.date() else None,
        )


def _takings(
    session: Session, near: tuple[ColumnElement[bool], ...], now: datetime
) -> Iterator[Taking]:
    rows: Any = session.execute(
        select(BookingRow.id, BookingRow.session_id, BookingRow.student_id, BookingRow.bike_id)
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .where(takes(now), SessionRow.cancelled_at.is_(None), *near)
        .order_by(BookingRow.id)
    )
    return (Taking(*row) for row in rows)


def _yards(session: Session) -> Iterator[KnownYard]:
    for row in session.scalars(select(YardRow).order_by(YardRow.name)):
        area = YardFacts(
            row.length_m, row.width_m, row.speed_run, row.avoidance_left, row.avoidance_right
        )
        yield KnownYard(row.id, yard_from(row), area)


def _instructors(session: Session) -> Iterator[KnownInstructor]:
    for row in session.scalars(select(InstructorRow).order_by(InstructorRow.name)):
        yield KnownInstructor(row.id, instructor_from(row))


def _bikes(session: Session) -> Iterator[KnownBike]:
    for row in session.scalars(select(BikeRow).order_by(BikeRow.id)):
        yield KnownBike(row.id, bike_from(row))
