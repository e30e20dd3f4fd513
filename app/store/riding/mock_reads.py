"""A mock test as it stands: its exercises with their rides, what is next, and its verdict."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy import Row, select
from sqlalchemy.orm import Session

from app.rules.categories import Category
from app.rules.diary.words import conditions
from app.rules.refusal import Missing
from app.rules.riding.findings import RiddenExercise
from app.rules.riding.marking import judge_speed
from app.rules.riding.mock import Turn, next_turn
from app.rules.riding.values import Side
from app.rules.riding.verdict import MarkingSheet, ModuleVerdict, SheetExercise, judge_test
from app.store.diary.tables import SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.riding.course import Course, CourseVariant, load_course
from app.store.riding.recording import find_place
from app.store.riding.rides import RideLine, ride_lines
from app.store.riding.tables import AttemptRow, MockLineRow, MockTestRow
from app.store.yards.tables import BikeRow, YardRow

_Head = Row[MockTestRow, SessionRow, StudentRow, str, str]


@dataclass(frozen=True, slots=True)
class MockLine:
    """One exercise of a mock test with the rides of it that count, the first try first."""

    variant: CourseVariant
    left_out: str | None
    rides: tuple[RideLine, ...]


@dataclass(frozen=True, slots=True)
class MockTest:
    """A mock test. ``turn`` is what is ridden next, None when nothing is left or it has ended.

    ``category`` is that of the bike booked, or what the student seeks. ``bike`` is
    None before the first ride, and on the student's own. ``conditions`` may be empty.
    """

    id: UUID
    session_id: int
    student_id: int
    student: str
    category: Category
    yard: str
    instructor: str
    bike: str | None
    conditions: str
    side: Side | None
    started_at: datetime
    ended_at: datetime | None
    stopped_reason: str | None
    course: Course
    lines: tuple[MockLine, ...]
    turn: Turn | None
    verdict: ModuleVerdict
    whole: bool

    @property
    def rides(self) -> tuple[RideLine, ...]:
        """The rides that count, in the order of the test."""
        return tuple(ride for line in self.lines for ride in line.rides)

    @property
    def last(self) -> RideLine | None:
        """The ride that an undo takes back."""
        return self.rides[-1] if self.rides else None

    @property
    def next_variant(self) -> CourseVariant:
        """The variant of the turn. Raises Missing when nothing is left to ride."""
        if self.turn is None:
            raise Missing("nothing is left to ride")
        return self.lines[self.turn.number - 1].variant


@dataclass(frozen=True, slots=True)
class MockTestEntry:
    """A mock test that has ended, in a list."""

    id: UUID
    started_at: datetime
    yard: str
    stopped: bool


def load_mock_test(
    session: Session,
    mock_test_id: UUID,
    zone: ZoneInfo,
    *,
    instructor_id: int | None = None,
    student_id: int | None = None,
) -> MockTest:
    """A mock test, of this instructor's sessions or of this student alone where one is given.

    Twelve queries. Raises Missing.
    """
    found = _head(session, mock_test_id)
    if found is None or not _is_whose(found, instructor_id, student_id):
        raise Missing(f"mock test {mock_test_id}")
    course = load_course(session)
    lines = _lines(session, mock_test_id, course, zone)
    return _mock_test(session, found, course, lines)


def _head(session: Session, mock_test_id: UUID) -> _Head | None:
    return session.execute(
        select(MockTestRow, SessionRow, StudentRow, YardRow.name, InstructorRow.name)
        .join(SessionRow, MockTestRow.session_id == SessionRow.id)
        .join(StudentRow, MockTestRow.student_id == StudentRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .where(MockTestRow.id == mock_test_id)
    ).first()


def _is_whose(found: _Head, instructor_id: int | None, student_id: int | None) -> bool:
    row, training = found[0], found[1]
    return instructor_id in (None, training.instructor_id) and student_id in (None, row.student_id)


def _lines(
    session: Session, mock_test_id: UUID, course: Course, zone: ZoneInfo
) -> tuple[MockLine, ...]:
    rides = ride_lines(
        session,
        select(AttemptRow)
        .where(AttemptRow.mock_test_id == mock_test_id, AttemptRow.struck_at.is_(None))
        .order_by(AttemptRow.second_try, AttemptRow.ridden_at, AttemptRow.id),
        course,
        zone,
    )
    rows = session.scalars(
        select(MockLineRow)
        .where(MockLineRow.mock_test_id == mock_test_id)
        .order_by(MockLineRow.place)
    )
    return tuple(
        MockLine(
            variant=course.named(row.variant_id),
            left_out=row.left_out,
            rides=tuple(ride for ride in rides if ride.variant_id == row.variant_id),
        )
        for row in rows
    )


def _mock_test(
    session: Session, found: _Head, course: Course, lines: tuple[MockLine, ...]
) -> MockTest:
    row, training, student, yard, instructor = found
    bikes = _bikes(session, row.id)
    place = find_place(session, training.id, student.id)
    sheet = _sheet(lines, course)
    ridden = [*_ridden(lines, bikes, student.category, course)]
    return MockTest(
        id=row.id,
        session_id=training.id,
        student_id=student.id,
        student=student.name,
        category=place.category if place else student.category,
        yard=yard,
        instructor=instructor,
        bike=next((bike.label for bike in bikes.values()), None),
        conditions=conditions(training.surface, training.windy),
        side=row.side,
        started_at=row.started_at,
        ended_at=row.ended_at,
        stopped_reason=row.stopped_reason,
        course=course,
        lines=lines,
        turn=next_turn(sheet, ridden) if row.ended_at is None else None,
        verdict=judge_test(ridden, sheet, stopped=row.stopped_reason is not None),
        whole=sheet.is_whole,
    )


def _bikes(session: Session, mock_test_id: UUID) -> dict[UUID, BikeRow]:
    """The bike of each ride that was ridden on one of the school's."""
    query = (
        select(AttemptRow.id, BikeRow)
        .join(BikeRow, AttemptRow.bike_id == BikeRow.id)
        .where(AttemptRow.mock_test_id == mock_test_id)
    )
    return dict(session.execute(query).all())


def _sheet(lines: Iterable[MockLine], course: Course) -> MarkingSheet:
    exercises = tuple(
        SheetExercise(
            line.variant.manoeuvre.code,
            line.variant.name,
            line.variant.manoeuvre.not_after_failed,
            line.left_out,
        )
        for line in lines
    )
    most = course.syllabus.pass_rule.most_riding_faults
    return MarkingSheet(exercises, most, course.fault_names)


def _ridden(
    lines: Iterable[MockLine], bikes: Mapping[UUID, BikeRow], sought: Category, course: Course
) -> Iterable[RiddenExercise]:
    share = course.syllabus.speed_rule.allowance_share
    for line in lines:
        for ride in line.rides:
            bike = bikes.get(ride.attempt_id)
            minimum = line.variant.minimum_for(bike.category if bike else sought)
            speed = judge_speed(ride.speed_kmh, minimum, ride.second_try, share)
            yield RiddenExercise(line.variant.manoeuvre.code, ride.seen, speed)


def mock_tests_of(session: Session, student_id: int) -> tuple[MockTestEntry, ...]:
    """A student's mock tests that have ended, the newest first: one query."""
    found = session.execute(
        select(MockTestRow, YardRow.name)
        .join(SessionRow, MockTestRow.session_id == SessionRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .where(MockTestRow.student_id == student_id, MockTestRow.ended_at.is_not(None))
        .order_by(MockTestRow.started_at.desc(), MockTestRow.id)
    )
    return tuple(
        MockTestEntry(row.id, row.started_at, yard, row.stopped_reason is not None)
        for row, yard in found
    )


def struck_in(session: Session, mock_test_id: UUID) -> tuple[UUID, ...]:
    """The rides of a mock test that were struck out: one query."""
    of_test = AttemptRow.mock_test_id == mock_test_id, AttemptRow.struck_at.is_not(None)
    return tuple(session.scalars(select(AttemptRow.id).where(*of_test)))


def running_tests(session: Session, sessions: Iterable[int]) -> dict[int, UUID]:
    """The mock tests that are running in these sessions, by the id of the rider: one query."""
    query = select(MockTestRow.student_id, MockTestRow.id).where(
        MockTestRow.session_id.in_(sessions), MockTestRow.ended_at.is_(None)
    )
    return dict(session.execute(query.order_by(MockTestRow.started_at)).all())


def running_test(session: Session, session_id: int, student_id: int) -> UUID | None:
    """The mock test that a rider is in the middle of, if any: one query."""
    return session.scalars(
        select(MockTestRow.id).where(
            MockTestRow.session_id == session_id,
            MockTestRow.student_id == student_id,
            MockTestRow.ended_at.is_(None),
        )
    ).first()
