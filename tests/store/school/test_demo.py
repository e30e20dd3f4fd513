"""The demo school: the same for the same day, whole, and like a school."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from math import sqrt

import pytest
from sqlalchemy import func, select

from app.rules.categories import Category
from app.rules.diary.values import BookingState, TestResult
from app.rules.refusal import Refused
from app.rules.riding.values import Severity, Side
from app.store import settings
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow, TestAppointmentRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.progress.tables import StandingRow
from app.store.progress.writes import rebuild
from app.store.riding.tables import AttemptFaultRow, AttemptRow, FaultKindRow, MockTestRow
from app.store.school.demo.load import load_demo
from app.store.yards.tables import BikeRow, YardRow
from tests.support.databases import SqliteFactory

DAY = datetime(2026, 11, 25, 11, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo(sqlite_factory: SqliteFactory) -> Iterator[Database]:
    """The demo of one day, loaded once."""
    school = Database(sqlite_factory.fresh())
    load_demo(school, DAY)
    yield school
    school.close()


def _count(school: Database, table: type) -> int:
    with school.reading() as session:
        return session.scalar(select(func.count()).select_from(table)) or 0


def _rides(school: Database) -> list[tuple[object, ...]]:
    with school.reading() as session:
        query = select(AttemptRow.id, AttemptRow.ridden_at, AttemptRow.outcome)
        return [tuple(row) for row in session.execute(query.order_by(AttemptRow.id))]


def test_it_has_the_people_and_things_of_a_school(demo: Database) -> None:
    assert _count(demo, StudentRow) == 48
    assert _count(demo, InstructorRow) == 3
    assert _count(demo, BikeRow) == 12
    assert _count(demo, YardRow) == 2
    assert 5_000 <= _count(demo, AttemptRow) <= 7_000
    assert _count(demo, MockTestRow) > 5


def test_its_students_are_after_every_category(demo: Database) -> None:
    with demo.reading() as session:
        sought = set(session.scalars(select(StudentRow.category)))
    assert sought == set(Category)


def test_the_smaller_yard_rules_out_the_avoidance_to_the_left(demo: Database) -> None:
    with demo.reading() as session:
        yards = session.scalars(select(YardRow).order_by(YardRow.length_m)).all()
    assert (yards[0].avoidance_left, yards[0].avoidance_right) == (False, True)
    assert yards[1].avoidance_left


def test_it_spans_eight_weeks_back_and_two_ahead(demo: Database) -> None:
    with demo.reading() as session:
        first, last = session.execute(
            select(func.min(SessionRow.starts_at), func.max(SessionRow.starts_at))
        ).one()
    assert timedelta(days=54) <= DAY - first <= timedelta(days=57)
    assert timedelta(days=11) <= last - DAY <= timedelta(days=15)


def test_every_instructor_has_a_session_today_to_try(demo: Database) -> None:
    with demo.reading() as session:
        today = session.scalars(
            select(SessionRow.instructor_id).where(func.date(SessionRow.starts_at) == "2026-11-25")
        )
        assert set(today) == {1, 2, 3}


def test_those_whose_sign_ins_are_shown_are_in_the_middle_of_their_course(demo: Database) -> None:
    with demo.reading() as session:
        ahead = session.scalars(
            select(BookingRow.student_id)
            .join(SessionRow, BookingRow.session_id == SessionRow.id)
            .where(BookingRow.state == BookingState.BOOKED, SessionRow.starts_at > DAY)
        )
        assert {1, 2} <= set(ahead)


def test_no_bike_and_no_student_is_in_two_places_at_once(demo: Database) -> None:
    with demo.reading() as session:
        query = (
            select(BookingRow.bike_id, BookingRow.student_id, SessionRow.starts_at)
            .join(SessionRow, BookingRow.session_id == SessionRow.id)
            .where(BookingRow.state != BookingState.CANCELLED)
        )
        held = session.execute(query).all()
    bikes = Counter((row.bike_id, row.starts_at) for row in held)
    students = Counter((row.student_id, row.starts_at) for row in held)
    assert max(bikes.values()) == max(students.values()) == 1


@pytest.mark.parametrize(
    ("name", "habit"),
    [("Tobin Larkfield", "looked_at_cone"), ("Noor Castellane", "braked_in_swerve")],
)
def test_a_habit_shows_in_the_record(demo: Database, name: str, habit: str) -> None:
    """More of it in a ride than anyone else shows."""
    with demo.reading() as session:
        rides = Counter(session.scalars(select(AttemptRow.student_id)))
        seen = Counter(
            session.scalars(
                select(AttemptRow.student_id)
                .join(AttemptFaultRow, AttemptFaultRow.attempt_id == AttemptRow.id)
                .join(FaultKindRow, AttemptFaultRow.fault_kind_id == FaultKindRow.id)
                .where(FaultKindRow.code == habit)
            )
        )
        most = max((n for n in rides if rides[n] >= 30), key=lambda n: seen[n] / rides[n])
        assert session.get_one(StudentRow, most).name == name


def test_standings_are_those_of_a_rebuild(demo: Database) -> None:
    with demo.reading() as session:
        before = _states(session.scalars(select(StandingRow)).all())
    rebuild(demo)
    with demo.reading() as session:
        assert _states(session.scalars(select(StandingRow)).all()) == before


def _states(rows: object) -> dict[tuple[int, int], object]:
    return {(row.student_id, row.variant_id): row.state for row in rows}  # type: ignore[attr-defined]


def test_the_same_day_gives_the_same_school(sqlite_factory: SqliteFactory, demo: Database) -> None:
    again = Database(sqlite_factory.fresh())
    load_demo(again, DAY + timedelta(hours=2))
    assert _rides(again) == _rides(demo)
    again.close()


def test_a_school_in_use_is_left_alone(demo: Database) -> None:
    before = _rides(demo)
    with pytest.raises(Refused, match="empty"):
        load_demo(demo, DAY)
    assert _rides(demo) == before
    with demo.reading() as session:
        assert settings.load(session).demo


@pytest.mark.slow
def test_its_module_1_results_land_near_the_published_pass_rate(
    sqlite_factory: SqliteFactory,
) -> None:
    """74.5 % of module 1 tests were passed in 2021/22 (national driving-test statistics, as
    reported in the press). Several invented schools together come within three standard errors.
    """
    results: Counter[TestResult | None] = Counter()
    for week in range(8):
        school = Database(sqlite_factory.fresh())
        load_demo(school, DAY + timedelta(days=3 * week))
        with school.reading() as session:
            results.update(session.scalars(select(TestAppointmentRow.result)))
        school.close()
    taken = results[TestResult.PASS] + results[TestResult.FAIL]
    rate = results[TestResult.PASS] / taken
    assert taken > 120
    assert abs(rate - 0.745) < 3 * sqrt(0.745 * 0.255 / taken)


def test_faults_have_a_side_only_where_their_kind_has_one(demo: Database) -> None:
    with demo.reading() as session:
        found = session.execute(
            select(AttemptFaultRow.side, FaultKindRow.sided, AttemptFaultRow.severity).join(
                FaultKindRow, AttemptFaultRow.fault_kind_id == FaultKindRow.id
            )
        ).all()
    assert all((row.side is not None) == row.sided for row in found)
    assert {row.side for row in found} == {None, Side.LEFT, Side.RIGHT}
    assert {row.severity for row in found} >= {Severity.RIDING, Severity.SERIOUS, Severity.REMARK}


def test_every_booking_says_who_made_it_after_its_session_was_made(demo: Database) -> None:
    with demo.reading() as session:
        entries = session.scalars(select(AuditEntryRow).order_by(AuditEntryRow.id)).all()
        bookings = session.scalars(select(BookingRow)).all()
    made = {int(e.subject_id): e.at for e in entries if e.action == "made"}
    booked = {int(e.subject_id): e for e in entries if e.action == "booked"}
    assert {row.id for row in bookings} == set(booked)
    for row in bookings:
        assert made[row.session_id] <= booked[row.id].at <= DAY
        assert booked[row.id].account_id == row.booked_by
    gone = {row.id for row in bookings if row.state is BookingState.CANCELLED}
    assert gone == {int(e.subject_id) for e in entries if e.action == "cancelled"}
    told = [e.at for e in entries if e.subject in ("bookings", "training_sessions")]
    assert told == sorted(told)
