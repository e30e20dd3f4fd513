"""Making a session and booking its first place, in one go or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.clock import day_of
from app.rules.diary.facts import InstructorState, Neighbour, Plan, Span, YardState
from app.rules.diary.finding_room import room_for
from app.rules.diary.school_days import SchoolCalendar
from app.rules.diary.sessions import warnings, why_not_day, why_not_stand
from app.rules.diary.values import SessionKind
from app.rules.refusal import Reason
from app.store import settings
from app.store.database import Database
from app.store.diary import school_days
from app.store.diary.booking_writes import book_in
from app.store.diary.card_reads import BikeChoice, free_bikes
from app.store.diary.life import diary
from app.store.diary.loading import instructor_state, neighbours, rider, yard_state, zone_of
from app.store.diary.places import WantedPlace, refuse
from app.store.diary.session_writes import new_in
from app.store.diary.tables import SessionRow
from app.store.once import once


@dataclass(frozen=True, slots=True)
class WantedOpening:
    """A session that is to be made for a student, at an aware moment.

    Without ``bike_id`` they ride their own bike.
    """

    student_id: int
    kind: SessionKind
    yard_id: int
    instructor_id: int
    starts_at: datetime
    minutes: int
    bike_id: int | None

    @property
    def span(self) -> Span:
        """From when to when."""
        return Span(self.starts_at, self.starts_at + timedelta(minutes=self.minutes))


def make_and_book(db: Database, by: Actor, wanted: WantedOpening, key: UUID, now: datetime) -> int:
    """Make the session and book the student into it, once for one form; the session's id.

    It has as many places as the rules leave, so that others can come too. Raises Missing
    for an unknown student, and Refused with every reason against the session or the place;
    then there is neither.
    """

    def make() -> int:
        made = _new_session(session, by, wanted, now)
        book_in(session, by, WantedPlace(made, wanted.student_id, wanted.bike_id), now)
        return made

    with diary(db, now) as session:
        return once(session, key, now, make)


@dataclass(frozen=True, slots=True)
class Opening:
    """A session that could be made, for the page that asks whether to.

    ``against`` are the reasons why it cannot be made any more, ``check`` what to look at.
    """

    yard: str
    instructor: str
    span: Span
    places: int
    bikes: tuple[BikeChoice, ...]
    against: tuple[str, ...]
    check: tuple[str, ...]


def opening(session: Session, wanted: WantedOpening, now: datetime) -> Opening:
    """What would be made. Twelve queries; Missing or Refused for what does not exist."""
    facts = _facts(session, wanted)
    category = rider(session, wanted.student_id).category
    return Opening(
        yard=facts.yard.name,
        instructor=facts.instructor.name,
        span=wanted.span,
        places=facts.plan.places,
        bikes=free_bikes(session, wanted.span, category, now),
        against=tuple(reason.sentence for reason in facts.why_not(now)),
        check=warnings(facts.plan, facts.instructor, facts.calendar, facts.zone),
    )


@dataclass(frozen=True, slots=True)
class _Facts:
    """All that the rules are told of a session that is to be made."""

    plan: Plan
    yard: YardState
    instructor: InstructorState
    near: tuple[Neighbour, ...]
    calendar: SchoolCalendar
    zone: ZoneInfo

    def why_not(self, now: datetime) -> tuple[Reason, ...]:
        """Every reason against the session."""
        day = day_of(self.plan.span.starts_at, self.zone)
        return why_not_day(day, day_of(now, self.zone)) or why_not_stand(
            self.plan, self.yard, self.instructor, self.near, self.calendar, self.zone
        )


def _facts(session: Session, wanted: WantedOpening) -> _Facts:
    school, span = settings.load(session), wanted.span
    zone = zone_of(school)
    days = day_of(span.starts_at, zone), day_of(span.ends_at, zone)
    calendar = school_days.load(session, *days, school)
    where, who = wanted.yard_id, wanted.instructor_id
    yard, instructor = yard_state(session, where), instructor_state(session, who)
    near = neighbours(session, span, where, who, None, calendar.longest_gap)
    # One place at least, so that a full yard is told by the rule and not by the form.
    places = max(1, room_for(wanted.kind, yard, span, near))
    return _Facts(Plan(span, places, wanted.kind), yard, instructor, near, calendar, zone)


def _new_session(session: Session, by: Actor, wanted: WantedOpening, now: datetime) -> int:
    facts = _facts(session, wanted)
    refuse(facts.why_not(now))
    row = SessionRow(
        yard_id=wanted.yard_id,
        instructor_id=wanted.instructor_id,
        kind=wanted.kind,
        starts_at=wanted.span.starts_at,
        ends_at=wanted.span.ends_at,
        places=facts.plan.places,
    )
    return new_in(session, by, row, now)
