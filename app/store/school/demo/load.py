"""Putting the demo school into an empty database."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import func, insert, select, text
from sqlalchemy.orm import Session

from app.rules.accounts.roles import system
from app.rules.categories import Category
from app.rules.refusal import Reason, Refused
from app.rules.settings import SchoolSettings
from app.store import audit, settings
from app.store.accounts.hashing import hash_password
from app.store.accounts.tables import AccountRoleRow, AccountRow, HandOverCodeRow
from app.store.columns import Base
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow, TestAppointmentRow, WaitingRow
from app.store.papers.tables import PaperRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.progress.writes import rebuild_in
from app.store.riding.reference import load_reference
from app.store.riding.safety_tables import SafetyCheckRow
from app.store.riding.tables import (
    AttemptFaultRow,
    AttemptRow,
    FaultKindRow,
    ManoeuvreFaultRow,
    ManoeuvreRow,
    MinimumSpeedRow,
    MockLineRow,
    MockTestRow,
    VariantRow,
)
from app.store.school.demo import (
    audit_rows,
    calendar_rows,
    data,
    messages,
    rows,
    waiting_rows,
    yard_rows,
)
from app.store.school.demo.history import History, Walk
from app.store.school.demo.plan import PlannedSession, plan
from app.store.school.demo.riders import CourseVariant
from app.store.yards.tables import BikeRow, YardRow

_BY = system("demo")
_WITH_GIVEN_IDS = ("accounts", "students", "instructors", "yards", "bikes", "training_sessions")


def is_empty(session: Session) -> bool:
    """Whether nobody has an account and nobody learns here yet."""
    return not any(
        session.scalar(select(func.count()).select_from(table))
        for table in (AccountRow, StudentRow)
    )


def load_demo(db: Database, now: datetime) -> None:
    """Load Saltmarsh Rider School as it stands on the day of ``now``, all or nothing.

    The same day gives the same school. Raises Refused when the database is not empty.
    """
    load_reference(db, now)
    school = data.read()
    zone = ZoneInfo(SchoolSettings().time_zone)
    today = now.astimezone(zone).date()
    with db.writing() as session:
        if not is_empty(session):
            raise Refused(Reason("This database is in use. The demo needs an empty one."))
        rng = Random(today.isoformat())  # noqa: S311 (a story, not a secret)
        maker = rows.Rows(school, now, today)
        holidays = calendar_rows.holidays(today)
        planned = plan(rng, today, zone, holidays)
        course = _course(session)
        walk = Walk(rng, today, zone, course, _categories(school), _sides(school))
        walk.enrol(school.students)
        history = walk.through(planned)
        _people_and_things(session, maker, rng)
        _diary(session, planned, history, now, school)
        _rides(session, maker, planned, history, course)
        rebuild_in(session)
        _keep(session, WaitingRow, waiting_rows.waiting(today, now))
        _finish(session, school, now, open_today=today in holidays)
        messages.write(session, now)


def _keep(session: Session, table: type[Base], made: Iterable[rows.Row]) -> None:
    session.execute(insert(table), list(made))


def _people_and_things(session: Session, maker: rows.Rows, rng: Random) -> None:
    _keep(session, AccountRow, maker.accounts(hash_password(maker.school.password)))
    _keep(session, AccountRoleRow, maker.roles())
    _keep(session, InstructorRow, maker.instructors())
    _keep(session, StudentRow, maker.students(rng))
    _keep(session, PaperRow, maker.papers(rng))
    _keep(session, YardRow, maker.yards())
    _keep(session, BikeRow, maker.bikes())
    for table, made in calendar_rows.all_rows(maker):
        _keep(session, table, made)


def _diary(
    session: Session,
    planned: list[PlannedSession],
    history: History,
    now: datetime,
    school: data.DemoSchool,
) -> None:
    _keep(session, SessionRow, rows.sessions(planned))
    _keep(session, BookingRow, rows.bookings(history.bookings, now))
    _keep(session, TestAppointmentRow, rows.tests(history.tests, school.test_centre))
    _keep(session, audit.AuditEntryRow, audit_rows.entries(session, rows.DESK_ACCOUNT, now))


def _rides(
    session: Session,
    maker: rows.Rows,
    planned: list[PlannedSession],
    history: History,
    course: list[CourseVariant],
) -> None:
    recorders = {row["id"] - 1: row["account_id"] for row in maker.instructors()}
    code_hash = hash_password(maker.school.code)
    _keep(session, HandOverCodeRow, yard_rows.codes(recorders, code_hash, maker.opened))
    checked = yard_rows.safety_checks(maker.school, planned, history.bookings, recorders)
    _keep(session, SafetyCheckRow, checked)
    kinds: dict[str, int] = dict(session.execute(select(FaultKindRow.code, FaultKindRow.id)).all())
    _keep(session, MockTestRow, rows.mock_tests(history.mocks, recorders))
    _keep(session, MockLineRow, rows.mock_lines(history.mocks, course))
    _keep(session, AttemptRow, rows.attempts(history.rides, recorders))
    _keep(session, AttemptFaultRow, rows.attempt_faults(history.rides, kinds))


def _finish(session: Session, school: data.DemoSchool, now: datetime, *, open_today: bool) -> None:
    own = SchoolSettings(demo=True, open_on_bank_holidays=open_today, **school.settings)
    settings.save(session, own)
    audit.record(session, _BY, now, "loaded", "school", "demo", students=len(school.students))
    if session.get_bind().dialect.name == "postgresql":
        _move_sequences(session)


def _move_sequences(session: Session) -> None:
    """Have PostgreSQL count on from the ids that were given."""
    for table in _WITH_GIVEN_IDS:
        session.execute(
            text(f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), max(id)) FROM {table}")  # noqa: S608
        )


def _course(session: Session) -> list[CourseVariant]:
    offered = _offered(session)
    timed = set(session.scalars(select(MinimumSpeedRow.manoeuvre_id)))
    found = session.execute(
        select(VariantRow, ManoeuvreRow)
        .join(ManoeuvreRow, VariantRow.manoeuvre_id == ManoeuvreRow.id)
        .order_by(ManoeuvreRow.place, VariantRow.place)
    )
    return [
        CourseVariant(
            variant.id,
            manoeuvre.code,
            variant.code,
            tuple(offered[manoeuvre.id]),
            manoeuvre.id in timed,
        )
        for variant, manoeuvre in found
    ]


def _offered(session: Session) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = {}
    for row, kind in session.execute(
        select(ManoeuvreFaultRow, FaultKindRow)
        .join(FaultKindRow, ManoeuvreFaultRow.fault_kind_id == FaultKindRow.id)
        .order_by(FaultKindRow.place)
    ):
        found.setdefault(row.manoeuvre_id, []).append((kind.code, row.severity, kind.sided))
    return found


def _categories(school: data.DemoSchool) -> list[Category]:
    """The bikes that are on the road, which the file lists before those that are not."""
    return [Category(bike["category"]) for bike in school.bikes if "off_road_reason" not in bike]


def _sides(school: data.DemoSchool) -> list[frozenset[str]]:
    return [
        frozenset(side for side in ("left", "right") if yard[f"avoidance_{side}"])
        for yard in school.yards
    ]
