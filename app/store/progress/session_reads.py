"""A student's rides session by session, the newest session first."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.rules.diary.words import conditions
from app.rules.riding.values import Outcome
from app.rules.settings import SchoolSettings
from app.store.diary.tables import SessionRow
from app.store.people.tables import InstructorRow
from app.store.progress.paging import Leaf, leaf
from app.store.riding.course import Course, load_course
from app.store.riding.rides import RideLine, ride_lines
from app.store.riding.tables import AttemptRow
from app.store.yards.tables import YardRow

PAGE = 5


@dataclass(frozen=True, slots=True)
class HistoryStrip:
    """The rides of one variant in one session, in the order in which they were ridden."""

    variant_id: int
    name: str
    cones: tuple[RideLine, ...]


@dataclass(frozen=True, slots=True)
class HistorySession:
    """One session in which the student rode; ``rides`` counts all, ``clean`` those that were."""

    session_id: int
    starts_at: datetime
    yard: str
    instructor: str
    conditions: str
    rides: int
    clean: int
    strips: tuple[HistoryStrip, ...]


@dataclass(frozen=True, slots=True)
class History:
    """One page of sessions."""

    sessions: tuple[HistorySession, ...]
    leaf: Leaf


def history(session: Session, student_id: int, settings: SchoolSettings, page: int = 1) -> History:
    """The sessions of a student with their rides, retired variants too. Ten queries."""
    ridden = select(AttemptRow.session_id).where(AttemptRow.student_id == student_id)
    total = session.scalars(select(func.count()).select_from(ridden.distinct().subquery())).one()
    where = leaf(total, page, PAGE)
    rows = session.execute(
        select(SessionRow, YardRow.name, InstructorRow.name)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .where(SessionRow.id.in_(ridden))
        .order_by(SessionRow.starts_at.desc(), SessionRow.id.desc())
        .limit(where.size)
        .offset(where.offset)
    ).all()
    rides = _rides(session, student_id, [row[0].id for row in rows], settings)
    return History(tuple(_session(*row, rides[row[0].id]) for row in rows), where)


def _rides(
    session: Session, student_id: int, sessions: list[int], settings: SchoolSettings
) -> defaultdict[int, list[RideLine]]:
    found: defaultdict[int, list[RideLine]] = defaultdict(list)
    course: Course = load_course(session)
    query = (
        select(AttemptRow)
        .where(AttemptRow.student_id == student_id, AttemptRow.session_id.in_(sessions))
        .order_by(AttemptRow.ridden_at, AttemptRow.id)
    )
    for ride in ride_lines(session, query, course, ZoneInfo(settings.time_zone)):
        found[ride.session_id].append(ride)
    return found


def _session(row: SessionRow, yard: str, instructor: str, rides: list[RideLine]) -> HistorySession:
    return HistorySession(
        session_id=row.id,
        starts_at=row.starts_at,
        yard=yard,
        instructor=instructor,
        conditions=conditions(row.surface, row.windy, row.surface_remark),
        rides=len(rides),
        clean=sum(ride.counts and ride.outcome is Outcome.CLEAN for ride in rides),
        strips=_strips(rides),
    )


def _strips(rides: list[RideLine]) -> tuple[HistoryStrip, ...]:
    """One strip for each variant, in the order in which they were begun."""
    ways: defaultdict[int, list[RideLine]] = defaultdict(list)
    for ride in rides:
        ways[ride.variant_id].append(ride)
    return tuple(
        HistoryStrip(variant, found[0].name, tuple(found)) for variant, found in ways.items()
    )
