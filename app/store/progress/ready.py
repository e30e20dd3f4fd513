"""Who is ready for a test: those learning now, the likeliest first, and the next free places."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from app.rules.diary.values import TestModule, TestResult
from app.rules.progress.prospects import prospects
from app.store.diary.lines import SessionLine, session_line, session_query, taken
from app.store.diary.tables import SessionRow, TestAppointmentRow
from app.store.people.tables import StudentRow
from app.store.progress.flag_students import LEARNING_DAYS, Coming, coming_of
from app.store.progress.kept import own_faults
from app.store.progress.outlook import Outlook, manoeuvre_names, outlook_of
from app.store.progress.paging import Leaf, leaf
from app.store.progress.results import school_now
from app.store.progress.states import load_states
from app.store.progress.strips import Rides, short_strips
from app.store.progress.tables import LearnerRow
from app.store.riding.course import Course, load_course

PAGE = 20
FREE_SESSIONS = 6


MOST_TO_WIN = 2
"""How many manoeuvres are named as having most to win with."""


@dataclass(frozen=True, slots=True)
class ToWin:
    """A manoeuvre with much to win: its variants' names, each with the last rides, by id."""

    manoeuvre: str
    rise: str
    strips: tuple[tuple[int, str, Rides], ...]


@dataclass(frozen=True, slots=True)
class ReadyStudent:
    """One student: readiness today, the next session and the test booked, if there are any."""

    id: int
    name: str
    outlook: Outlook
    to_win: tuple[ToWin, ...]
    coming: Coming | None
    test_at: datetime | None


@dataclass(frozen=True, slots=True)
class Ready:
    """One page of the list, and the next sessions with a free place."""

    students: tuple[ReadyStudent, ...]
    leaf: Leaf
    free: tuple[SessionLine, ...]


def ready_page(session: Session, now: datetime, zone: ZoneInfo, page: int = 1) -> Ready:
    """Those who rode lately and have not passed module 1: a fixed number of queries.

    Pages follow the chance kept with the last ride, which costs nothing for thousands;
    within a page it is worked out as of now, with the school's faults and results.
    """
    found = _learning(now)
    count = session.scalars(select(func.count()).select_from(found.subquery())).one()
    where = leaf(count, page, PAGE)
    rows = session.execute(found.limit(where.size).offset(where.offset))
    names = {row.id: row.name for row in rows}
    return Ready(_judged(session, names, now, zone), where, free_sessions(session, now))


def free_sessions(session: Session, now: datetime) -> tuple[SessionLine, ...]:
    """The next sessions to come with a place left. One query."""
    found = session.execute(
        session_query(now)
        .where(SessionRow.starts_at > now, SessionRow.cancelled_at.is_(None))
        .where(SessionRow.places > taken(now))
        .order_by(SessionRow.starts_at, SessionRow.id)
        .limit(FREE_SESSIONS)
    )
    return tuple(session_line(row) for row in found)


def _learning(now: datetime) -> Select[int, str]:
    passed = select(TestAppointmentRow.student_id).where(
        TestAppointmentRow.module == TestModule.MODULE_1,
        TestAppointmentRow.result == TestResult.PASS,
    )
    return (
        select(StudentRow.id, StudentRow.name)
        .join(LearnerRow, LearnerRow.student_id == StudentRow.id)
        .where(LearnerRow.last_ridden_at >= now - timedelta(days=LEARNING_DAYS))
        .where(StudentRow.id.not_in(passed))
        .order_by(LearnerRow.rough_chance.desc(), StudentRow.id)
    )


def _judged(
    session: Session, names: Mapping[int, str], now: datetime, zone: ZoneInfo
) -> tuple[ReadyStudent, ...]:
    school = school_now(session)
    states = load_states(session, names, school.parameters)
    own, called = own_faults(session, names), manoeuvre_names(session)
    coming, tests = coming_of(session, names, now), tests_of(session, names, now)
    course = load_course(session)
    strips = short_strips(session, names, course, zone)
    if not school.parts:
        return ()
    found = []
    for id_, name in names.items():
        ready = prospects(states[id_], school, own.get(id_, {}), now)
        said = outlook_of(ready, states[id_], school, called)
        won = _to_win(said, dict(school.parts), strips.get(id_, {}), course)
        found.append(ReadyStudent(id_, name, said, won, coming.get(id_), tests.get(id_)))
    return tuple(sorted(found, key=lambda one: -one.outlook.ready.chance))


def _to_win(
    said: Outlook, parts: Mapping[int, tuple[int, ...]], strips: Mapping[int, Rides], course: Course
) -> tuple[ToWin, ...]:
    return tuple(
        ToWin(
            cost.manoeuvre,
            cost.rise,
            tuple(
                (variant, course.named(variant).name, strips.get(variant, ()))
                for variant in parts[gain.manoeuvre_id]
            ),
        )
        for gain, cost in zip(said.ready.gains[:MOST_TO_WIN], said.costs, strict=False)
    )


def tests_of(session: Session, ids: Iterable[int], now: datetime) -> dict[int, datetime]:
    """The next module 1 test that each student has booked. One query."""
    found = session.execute(
        select(TestAppointmentRow.student_id, func.min(TestAppointmentRow.starts_at))
        .where(TestAppointmentRow.student_id.in_(list(ids)))
        .where(TestAppointmentRow.module == TestModule.MODULE_1)
        .where(TestAppointmentRow.starts_at > now, TestAppointmentRow.result.is_(None))
        .group_by(TestAppointmentRow.student_id)
    )
    return {row[0]: row[1] for row in found}
