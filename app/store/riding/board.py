"""What the session board shows: the session, its riders, and one rider on one manoeuvre."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, Row, Select, func, select
from sqlalchemy.orm import Session

from app.rules.categories import Category
from app.rules.diary.values import BookingState, SessionKind, Surface
from app.rules.refusal import Missing
from app.rules.riding.syllabus import Offer
from app.rules.yards.area import YardFacts, why_not_rideable
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.riding.course import Course, CourseVariant, load_course
from app.store.riding.recording import yard_facts
from app.store.riding.rides import RideLine, ride_lines
from app.store.riding.tables import (
    AttemptFaultRow,
    AttemptRow,
    FaultKindRow,
    ManoeuvreRow,
    VariantRow,
)
from app.store.yards.tables import BikeRow, YardRow

STRIP = 8
"""How many of the last rides a strip on the board shows."""


@dataclass(frozen=True, slots=True)
class YardSession:
    """One session as an instructor sees it in their list."""

    id: int
    yard: str
    instructor_id: int
    starts_at: datetime
    ends_at: datetime
    kind: SessionKind
    surface: Surface | None
    riders: int
    places: int


@dataclass(frozen=True, slots=True)
class BoardRider:
    """One rider in a session, with the rides of this session in order."""

    student_id: int
    name: str
    category: Category
    bike: str | None
    rides: tuple[RideLine, ...]

    @property
    def recent(self) -> tuple[RideLine, ...]:
        """The last rides of this session, for the strip."""
        return self.rides[-STRIP:]

    @property
    def last(self) -> RideLine | None:
        """The last ride that was not struck out."""
        return next((ride for ride in reversed(self.rides) if ride.counts), None)


@dataclass(frozen=True, slots=True)
class Board:
    """A session with its riders and what can be ridden in its yard."""

    session: YardSession
    course: Course
    riders: tuple[BoardRider, ...]
    rideable: tuple[CourseVariant, ...]
    ruled_out: tuple[str, ...]

    def rider(self, student_id: int | None) -> BoardRider | None:
        """A rider by id; the first without one; None when nobody is booked. Raises Missing."""
        if student_id is None:
            return self.riders[0] if self.riders else None
        for rider in self.riders:
            if rider.student_id == student_id:
                return rider
        raise Missing(f"student {student_id} has no place in session {self.session.id}")

    @property
    def last(self) -> tuple[BoardRider, RideLine] | None:
        """The ride of the session that was ridden last, struck out or not, and its rider.

        It is the one that an undo takes back. Once taken back it stays the last,
        so that a second tap in the same place cannot take back another.
        """
        rides = [(rider, ride) for rider in self.riders for ride in rider.rides]
        return max(rides, key=lambda each: (each[1].ridden_at, each[1].attempt_id), default=None)

    def variant_of(self, rider: BoardRider) -> int:
        """The variant that a rider was on last in this session, or the first of the course."""
        return rider.rides[-1].variant_id if rider.rides else self.rideable[0].id


def sessions_of(
    session: Session, instructor_id: int, day: date, days: int, zone: ZoneInfo
) -> tuple[YardSession, ...]:
    """An instructor's sessions from a day at the school on, in order: one query."""
    begins = datetime.combine(day, time.min, zone)
    query = _sessions().where(
        SessionRow.instructor_id == instructor_id,
        SessionRow.starts_at >= begins,
        SessionRow.starts_at < begins + timedelta(days=days),
    )
    return tuple(_yard_session(row) for row in session.execute(query))


def load_board(
    session: Session, session_id: int, instructor_id: int | None, zone: ZoneInfo
) -> Board:
    """The board of a session, of this instructor alone unless ``instructor_id`` is None.

    A fixed number of queries. Raises Missing.
    """
    query = _sessions().where(SessionRow.id == session_id)
    if instructor_id is not None:
        query = query.where(SessionRow.instructor_id == instructor_id)
    found = session.execute(query).first()
    if found is None:
        raise Missing(f"session {session_id}")
    course = load_course(session)
    rideable, ruled_out = _rideable(course, yard_facts(found.YardRow))
    riders = _riders(session, session_id, course, zone)
    return Board(_yard_session(found), course, riders, rideable, ruled_out)


def _sessions() -> Select[SessionRow, YardRow, int]:
    riders = (
        select(func.count())
        .select_from(BookingRow)
        .where(BookingRow.session_id == SessionRow.id, _has_place())
        .scalar_subquery()
    )
    return (
        select(SessionRow, YardRow, riders.label("riders"))
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
        .where(SessionRow.cancelled_at.is_(None))
        .order_by(SessionRow.starts_at, SessionRow.id)
    )


def _has_place() -> ColumnElement[bool]:
    return BookingRow.state.in_((BookingState.BOOKED, BookingState.ATTENDED))


def _yard_session(found: Row[SessionRow, YardRow, int]) -> YardSession:
    row, yard, riders = found
    return YardSession(
        id=row.id,
        yard=yard.name,
        instructor_id=row.instructor_id,
        starts_at=row.starts_at,
        ends_at=row.ends_at,
        kind=row.kind,
        surface=row.surface,
        riders=riders,
        places=row.places,
    )


def _rideable(course: Course, yard: YardFacts) -> tuple[tuple[CourseVariant, ...], tuple[str, ...]]:
    reasons = {
        each.id: why_not_rideable(each.variant.code, yard, needs_speed_run=each.manoeuvre.speed_run)
        for each in course.variants
    }
    can = tuple(each for each in course.variants if reasons[each.id] is None)
    cannot = tuple(dict.fromkeys(reason for reason in reasons.values() if reason))
    return can, cannot


def _riders(
    session: Session, session_id: int, course: Course, zone: ZoneInfo
) -> tuple[BoardRider, ...]:
    rides: defaultdict[int, list[RideLine]] = defaultdict(list)
    query = (
        select(AttemptRow)
        .where(AttemptRow.session_id == session_id)
        .order_by(AttemptRow.ridden_at, AttemptRow.id)
    )
    for ride in ride_lines(session, query, course, zone):
        rides[ride.student_id].append(ride)
    places = session.execute(
        select(StudentRow.id, StudentRow.name, StudentRow.category, BikeRow.label)
        .select_from(BookingRow)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(BookingRow.session_id == session_id, _has_place())
        .order_by(StudentRow.name, StudentRow.id)
    )
    return tuple(
        BoardRider(student, name, category, bike, tuple(rides[student]))
        for student, name, category, bike in places
    )


def strip_of(
    session: Session, student_id: int, variant_id: int, course: Course, zone: ZoneInfo
) -> tuple[RideLine, ...]:
    """A student's last rides of one variant over all sessions, oldest first: two queries."""
    query = (
        select(AttemptRow)
        .where(AttemptRow.student_id == student_id, AttemptRow.variant_id == variant_id)
        .order_by(AttemptRow.ridden_at.desc(), AttemptRow.id.desc())
        .limit(STRIP)
    )
    return ride_lines(session, query, course, zone)[::-1]


def offers_by_use(session: Session, course: Course, manoeuvre: str) -> tuple[Offer, ...]:
    """The faults of a manoeuvre, those this school records most first, remarks last: one query."""
    used = _times_used(session, manoeuvre)
    offers = course.offers(manoeuvre).values()
    return tuple(
        sorted(offers, key=lambda o: (o.is_remark, -used.get(o.kind.code, 0), o.kind.place))
    )


def _times_used(session: Session, manoeuvre: str) -> dict[str, int]:
    query = (
        select(FaultKindRow.code, func.count().label("uses"))
        .join(AttemptFaultRow, AttemptFaultRow.fault_kind_id == FaultKindRow.id)
        .join(AttemptRow, AttemptFaultRow.attempt_id == AttemptRow.id)
        .join(VariantRow, AttemptRow.variant_id == VariantRow.id)
        .join(ManoeuvreRow, VariantRow.manoeuvre_id == ManoeuvreRow.id)
        .where(ManoeuvreRow.code == manoeuvre, AttemptRow.struck_at.is_(None))
        .group_by(FaultKindRow.code)
    )
    return {row.code: row.uses for row in session.execute(query)}
