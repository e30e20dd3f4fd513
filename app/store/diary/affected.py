"""What an illness, a closed yard or a broken bike upsets, and what could be done about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of, span_of
from app.rules.diary.facts import Rider
from app.rules.diary.finding_facts import Horizon, Listed
from app.rules.diary.finding_places import Place
from app.rules.diary.replanning import (
    LATER,
    Lost,
    RiderPlan,
    SessionPlan,
    Swap,
    Trouble,
    plan_anew,
)
from app.rules.refusal import Missing
from app.store.diary import horizon
from app.store.diary.loading import riders
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow


@dataclass(frozen=True, slots=True)
class AffectedRider:
    """One rider who has to be told, and the places that could be theirs, soonest first."""

    booking_id: int
    version: int
    student_id: int
    student: str
    phone: str | None
    bike: str | None
    ways: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class AffectedSession:
    """One session, who could give it instead or where, and its riders."""

    id: int
    version: int
    listed: Listed
    yard: str
    instructor: str
    swaps: tuple[Swap, ...]
    riders: tuple[AffectedRider, ...]


@dataclass(frozen=True, slots=True)
class Affected:
    """Everything that is upset between two days, both included, in order of time.

    ``noted`` says that the days off, or that the bike is off the road, are written down.
    """

    trouble: Trouble
    name: str
    first_day: date
    last_day: date
    sessions: tuple[AffectedSession, ...]
    noted: bool

    @property
    def students(self) -> int:
        """How many riders that concerns; one who is in two sessions counts twice."""
        return sum(len(one.riders) for one in self.sessions)


def affected(
    session: Session, trouble: Trouble, days: tuple[date, date], now: datetime, zone: ZoneInfo
) -> Affected:
    """What is upset and what could be done. Seventeen queries; Missing for an unknown thing."""
    first, last = max(days[0], day_of(now, zone)), max(days)
    diary = horizon.load(session, first, last + LATER, now, zone)
    name = _name(diary, trouble)
    hit = [one for one in _between(diary, first, last, now, zone) if _is_hit(diary, trouble, one)]
    students = {taking.student_id for one in hit for taking in diary.inside.get(one.id, ())}
    known = riders(session, students)
    plans = plan_anew(trouble, hit, known, diary, now, zone)
    shown, noted = _shown(session, diary, plans, known), _noted(diary, trouble, first, last)
    return Affected(trouble, name, first, last, shown, noted)


def _noted(diary: Horizon, trouble: Trouble, first: date, last: date) -> bool:
    if trouble.lost is Lost.BIKE:
        return diary.bikes[trouble.id].state.off_road_reason is not None
    if trouble.lost is Lost.INSTRUCTOR:
        days = diary.calendar.of(diary.instructors[trouble.id].state).days_off
        return any(out.has(first) and out.has(last) for out in days)
    return True


def _name(diary: Horizon, trouble: Trouble) -> str:
    if trouble.lost is Lost.BIKE and trouble.id in diary.bikes:
        return diary.bikes[trouble.id].state.label
    if trouble.lost is Lost.YARD and trouble.id in diary.yards:
        return diary.yards[trouble.id].state.name
    if trouble.lost is Lost.INSTRUCTOR and trouble.id in diary.instructors:
        return diary.instructors[trouble.id].state.name
    raise Missing


def _between(
    diary: Horizon, first: date, last: date, now: datetime, zone: ZoneInfo
) -> list[Listed]:
    begins, ends = span_of(first, (last - first).days + 1, zone)
    inside = [one for one in diary.sessions if begins <= one.span.starts_at < ends]
    # One that has begun is the instructor's on the spot, not the desk's.
    return [one for one in inside if one.span.starts_at > now]


def _is_hit(diary: Horizon, trouble: Trouble, one: Listed) -> bool:
    if trouble.lost is Lost.INSTRUCTOR:
        return one.instructor_id == trouble.id
    if trouble.lost is Lost.YARD:
        return one.yard_id == trouble.id
    return any(taking.bike_id == trouble.id for taking in diary.inside.get(one.id, ()))


def _shown(
    session: Session, diary: Horizon, plans: tuple[SessionPlan, ...], known: dict[int, Rider]
) -> tuple[AffectedSession, ...]:
    numbers = [plan.session.id for plan in plans]
    versions = _versions(session, numbers)
    phones = _phones(session, known)
    bookings = _booking_versions(session, numbers)

    def shown(plan: RiderPlan) -> AffectedRider:
        taking = plan.taking
        number, student = taking.booking_id or 0, taking.student_id
        bike = diary.bikes[taking.bike_id].state.label if taking.bike_id else None
        return AffectedRider(
            number, bookings[number], student, known[student].name, phones[student], bike, plan.ways
        )

    return tuple(
        AffectedSession(
            id=plan.session.id,
            version=versions[plan.session.id],
            listed=plan.session,
            yard=diary.yards[plan.session.yard_id].state.name,
            instructor=diary.instructors[plan.session.instructor_id].state.name,
            swaps=plan.swaps,
            riders=tuple(shown(one) for one in plan.riders),
        )
        for plan in plans
    )


def _versions(session: Session, ids: list[int]) -> dict[int, int]:
    rows = session.execute(select(SessionRow.id, SessionRow.version).where(SessionRow.id.in_(ids)))
    return {row.id: row.version for row in rows}


def _booking_versions(session: Session, ids: list[int]) -> dict[int, int]:
    rows = session.execute(
        select(BookingRow.id, BookingRow.version).where(BookingRow.session_id.in_(ids))
    )
    return {row.id: row.version for row in rows}


def _phones(session: Session, known: dict[int, Rider]) -> dict[int, str | None]:
    rows = session.execute(
        select(StudentRow.id, StudentRow.phone).where(StudentRow.id.in_(list(known)))
    )
    return {row.id: row.phone for row in rows}
