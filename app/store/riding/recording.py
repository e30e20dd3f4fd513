"""Keeping rides: each checked on its own, each kept at most once."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor, Role
from app.rules.categories import Category
from app.rules.diary.values import HELD_STATES, BookingState
from app.rules.refusal import Missing, Reason, Refused
from app.rules.riding.marking import SpeedVerdict, judge_speed, mark
from app.rules.riding.mock import ride_objections
from app.rules.riding.recording import NewRide, RideAnswer, Word, objections
from app.rules.riding.values import SeenFault
from app.rules.yards.area import YardFacts, why_not_rideable
from app.store import audit
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.reads import kept_instead
from app.store.people.tables import StudentRow
from app.store.riding.course import Course, CourseVariant, load_course
from app.store.riding.mock_kept import kept_test
from app.store.riding.tables import AttemptFaultRow, AttemptRow, FaultKindRow
from app.store.yards.tables import BikeRow, YardRow

_NO_PLACE = (
    "This student has no place in this session. Book the place at the desk, then send again."
)
_NOT_YOURS = "This session is another instructor's."
_NUMBER_IN_USE = (
    "This page had recorded a ride already, and it was another one. "
    "Look at the last ride, then record this one again."
)
_TOO_EARLY = "This session begins later. Rides can be recorded from the day it is on."


@dataclass(frozen=True, slots=True)
class Place:
    """One student's place in one session, with what the marking needs of it."""

    booking: BookingRow
    training: SessionRow
    yard: YardFacts
    category: Category
    bike_id: int | None


@dataclass(slots=True)
class RideBook:
    """Keeps rides in one open transaction, reading what they share only once."""

    session: Session
    by: Actor
    now: datetime
    _course: Course | None = None
    _places: dict[tuple[int, int], Place | None] = field(default_factory=dict)

    def keep(self, ride: NewRide) -> RideAnswer:
        """Keep one ride unless it is there already or its facts forbid it; never raises.

        A tablet may still hold rides of a record that was merged into another since.
        """
        answer = self._kept(ride)
        if answer.word is Word.REFUSED:
            kept_id = kept_instead(self.session, ride.student_id)
            if kept_id is not None:
                return self._kept(replace(ride, student_id=kept_id))
        return answer

    def _kept(self, ride: NewRide) -> RideAnswer:
        earlier = self.session.get(AttemptRow, ride.attempt_id)
        if earlier is not None:
            return _already(self.session, ride, earlier)
        try:
            place, variant = self._judged(ride)
        except (Refused, Missing) as refused:
            return RideAnswer(ride.attempt_id, Word.REFUSED, str(refused))
        self._add(ride, place, variant)
        return RideAnswer(ride.attempt_id, Word.SAVED)

    @property
    def course(self) -> Course:
        """The syllabus."""
        if self._course is None:
            self._course = load_course(self.session)
        return self._course

    def _judged(self, ride: NewRide) -> tuple[Place, CourseVariant]:
        """The ride's place and variant, or Refused with every reason why it cannot be kept."""
        found_place = self._place(ride.session_id, ride.student_id)
        place = admitted(found_place, self.by, self.now)
        variant = self._variant(ride.variant_id, place.yard)
        found = [*objections(ride, self.course.offers(variant.manoeuvre.code), self.now)]
        if ride.mock_test_id is not None:
            found += ride_objections(ride, kept_test(self.session, ride.mock_test_id))
        if found:
            raise Refused(*map(Reason, found))
        return place, variant

    def _variant(self, variant_id: int, yard: YardFacts) -> CourseVariant:
        try:
            variant = self.course.variant(variant_id)
        except Missing:
            raise Refused(Reason("That manoeuvre is not in the syllabus any more.")) from None
        speed_run = variant.manoeuvre.speed_run
        sentence = why_not_rideable(variant.variant.code, yard, needs_speed_run=speed_run)
        if sentence:
            raise Refused(Reason(sentence))
        return variant

    def _place(self, session_id: int, student_id: int) -> Place | None:
        key = (session_id, student_id)
        if key not in self._places:
            self._places[key] = find_place(self.session, *key)
        return self._places[key]

    def _add(self, ride: NewRide, place: Place, variant: CourseVariant) -> None:
        speed = None if ride.speed_kmh is None else round(ride.speed_kmh, 1)
        judged = self._judged_speed(ride, speed, place.category, variant)
        faults = [SeenFault(fault.kind, fault.severity, fault.side) for fault in ride.faults]
        self.session.add(
            AttemptRow(
                id=ride.attempt_id,
                session_id=ride.session_id,
                student_id=ride.student_id,
                variant_id=ride.variant_id,
                bike_id=place.bike_id,
                recorded_by=self.by.account_id,
                ridden_at=ride.ridden_at,
                received_at=self.now,
                outcome=mark(faults, judged),
                speed_result=judged.result,
                speed_kmh=speed,
                speed_source=ride.speed_source,
                second_try=ride.second_try,
                mock_test_id=ride.mock_test_id,
                tablet=ride.tablet,
                tablet_seq=ride.tablet_seq,
                skew_seconds=ride.skew_seconds,
            )
        )
        self.session.flush()
        self.session.add_all(self._faults(ride))
        self._attended(place)
        self.session.flush()

    def _judged_speed(
        self, ride: NewRide, speed: float | None, category: Category, variant: CourseVariant
    ) -> SpeedVerdict:
        share = self.course.syllabus.speed_rule.allowance_share
        return judge_speed(speed, variant.minimum_for(category), ride.second_try, share)

    def _faults(self, ride: NewRide) -> list[AttemptFaultRow]:
        return [
            AttemptFaultRow(
                attempt_id=ride.attempt_id,
                place=place,
                fault_kind_id=self.course.fault_ids[fault.kind],
                severity=fault.severity,
                side=fault.side,
            )
            for place, fault in enumerate(ride.faults, start=1)
        ]

    def _attended(self, place: Place) -> None:
        """Whoever rides is there."""
        booking = place.booking
        if booking.state is BookingState.BOOKED:
            booking.state = BookingState.ATTENDED
            booking.version += 1
            audit.record(self.session, self.by, self.now, "attended", "bookings", booking.id)


def admitted(place: Place | None, by: Actor, now: datetime) -> Place:
    """The place, for someone who may record there now. Raises Refused."""
    if place is None:
        raise Refused(Reason(_NO_PLACE))
    if not may_record(by, place.training):
        raise Refused(Reason(_NOT_YOURS))
    if place.training.starts_at.date() > now.date():
        raise Refused(Reason(_TOO_EARLY))
    return place


def may_record(by: Actor, training: SessionRow) -> bool:
    """Whether the person may record in the session: its instructor, or the owner."""
    return by.has(Role.OWNER) or by.instructor_id == training.instructor_id


def strike(session: Session, by: Actor, attempt_id: UUID, reason: str, now: datetime) -> int:
    """Strike out a ride in the caller's transaction; the student's id.

    Striking out twice changes nothing. Raises Missing for a ride that is not
    there or not this person's to change.
    """
    found = session.get(AttemptRow, attempt_id)
    training = session.get(SessionRow, found.session_id) if found else None
    if found is None or training is None or not may_record(by, training):
        raise Missing(f"ride {attempt_id}")
    if found.struck_at is None:
        found.struck_at, found.struck_by, found.struck_reason = now, by.account_id, reason
        audit.record(session, by, now, "struck out", "attempts", attempt_id)
        session.flush()
    return found.student_id


def _already(session: Session, ride: NewRide, earlier: AttemptRow) -> RideAnswer:
    if _facts(ride) == _kept_facts(session, earlier):
        return RideAnswer(ride.attempt_id, Word.ALREADY_HAD)
    return RideAnswer(ride.attempt_id, Word.REFUSED, _NUMBER_IN_USE)


_Facts = tuple[object, ...]


def _facts(ride: NewRide) -> _Facts:
    """What makes a ride this ride; not its time, which a page without scripts cannot send."""
    faults = [(fault.kind, fault.severity, fault.side) for fault in ride.faults]
    speed = None if ride.speed_kmh is None else round(ride.speed_kmh, 1)
    return (
        ride.session_id, ride.student_id, ride.variant_id,
        speed, ride.speed_source, ride.second_try, faults, ride.mock_test_id,
    )  # fmt: skip


def _kept_facts(session: Session, row: AttemptRow) -> _Facts:
    found = session.execute(
        select(FaultKindRow.code, AttemptFaultRow.severity, AttemptFaultRow.side)
        .join(FaultKindRow, AttemptFaultRow.fault_kind_id == FaultKindRow.id)
        .where(AttemptFaultRow.attempt_id == row.id)
        .order_by(AttemptFaultRow.place)
    )
    speed = None if row.speed_kmh is None else float(row.speed_kmh)
    return (
        row.session_id, row.student_id, row.variant_id,
        speed, row.speed_source, row.second_try, [tuple(each) for each in found],
        row.mock_test_id,
    )  # fmt: skip


def find_place(session: Session, session_id: int, student_id: int) -> Place | None:
    """A student's place in a session that was not cancelled, or None: one query."""
    found = session.execute(
        select(BookingRow, SessionRow, YardRow, StudentRow.category, BikeRow.category)
        .join(SessionRow, BookingRow.session_id == SessionRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(BookingRow.session_id == session_id, BookingRow.student_id == student_id)
        .where(BookingRow.state.in_(HELD_STATES), SessionRow.cancelled_at.is_(None))
        .order_by(BookingRow.id.desc())
    ).first()
    if found is None:
        return None
    booking, training, yard, sought, ridden = found
    return Place(booking, training, yard_facts(yard), ridden or sought, booking.bike_id)


def yard_facts(yard: YardRow) -> YardFacts:
    """A yard's row as the rules know a yard."""
    return YardFacts(
        length_m=float(yard.length_m),
        width_m=float(yard.width_m),
        speed_run=yard.speed_run,
        avoidance_left=yard.avoidance_left,
        avoidance_right=yard.avoidance_right,
    )
