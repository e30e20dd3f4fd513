"""Walking through the demo school's weeks: who came, what they rode, who took the test."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from uuid import UUID
from zoneinfo import ZoneInfo

from app.rules.categories import Category
from app.rules.diary.values import BookingState, TestResult
from app.rules.riding.values import Outcome, Severity, Side
from app.store.school.demo.data import DemoStudent
from app.store.school.demo.mocks import DemoMock, lines_of, moments, ride_test
from app.store.school.demo.plan import PAST_DAYS, PlannedSession
from app.store.school.demo.riders import CourseVariant, Rider, SimulatedRide, choose, load_of

TEST_CARE = 0.72  # a rider on test takes more care than on a Tuesday in the yard
_RIDE_MINUTES = (2.5, 9)
_ENOUGH = 0.84  # the share of the last rides clean at which the instructor says: book it
_LAST = 24
_RETEST_DAYS = 6
_MOCK_SHARE = 0.3
SHOWN = 2
"""How many students' sign-ins the demo shows: the first of the file."""
_SHOWN_JOIN = -24  # so that whoever looks around finds them in the middle of their course


@dataclass(frozen=True, slots=True)
class DemoBooking:
    """A student's place in a session; student and bike are numbers in their files' order."""

    session: PlannedSession
    student: int
    bike: int
    state: BookingState


@dataclass(frozen=True, slots=True)
class DemoRide:
    """One ride with where and when it was ridden."""

    id: UUID
    booking: DemoBooking
    ridden_at: datetime
    ride: SimulatedRide
    mock: UUID | None = None


@dataclass(frozen=True, slots=True)
class DemoTest:
    """One real test; ``result`` is None while it is still to come."""

    student: int
    starts_at: datetime
    bike: int
    result: TestResult | None


@dataclass(slots=True)
class _Student:
    facts: DemoStudent
    rider: Rider
    joins: int
    outcomes: list[Outcome] = field(default_factory=list)
    last_seen: int = -PAST_DAYS - 7
    sessions: int = 0
    test_day: int | None = None
    passed: bool = False

    def wants(self, day: int) -> bool:
        return self.joins <= day and not self.passed and day - self.last_seen >= 3

    def is_ready(self) -> bool:
        last = self.outcomes[-_LAST:]
        clean = sum(outcome is Outcome.CLEAN for outcome in last)
        return self.sessions >= 7 and clean >= _ENOUGH * _LAST


@dataclass(slots=True)
class History:
    """What the walk leaves behind, in the order in which it happened."""

    bookings: list[DemoBooking] = field(default_factory=list)
    rides: list[DemoRide] = field(default_factory=list)
    tests: list[DemoTest] = field(default_factory=list)
    mocks: list[DemoMock] = field(default_factory=list)


@dataclass(slots=True)
class Walk:
    """One walk through the plan with one source of randomness."""

    rng: Random
    today: date
    zone: ZoneInfo
    course: Sequence[CourseVariant]
    bikes: Sequence[Category]
    sides: Sequence[frozenset[str]]
    students: list[_Student] = field(default_factory=list)
    history: History = field(default_factory=History)

    def enrol(self, facts: Sequence[DemoStudent]) -> None:
        """Give every student a talent and a day on which they joined."""
        for student in facts:
            moped = student.category.is_moped
            rider = Rider(
                talent=min(max(self.rng.gauss(1.0, 0.22), 0.5), 1.6),
                nerve=min(max(self.rng.gauss(1.6, 0.8), -0.5), 3.5),
                habit=student.habit,
                minimum_kmh=30.0 if moped else 50.0,
            )
            joins = max(-PAST_DAYS, self.rng.randint(-PAST_DAYS - 14, -4))
            if len(self.students) < SHOWN:
                joins = _SHOWN_JOIN
            self.students.append(_Student(student, rider, joins))

    def through(self, plan: Sequence[PlannedSession]) -> History:
        """Go through the sessions in order, with the tests of each day before its sessions."""
        day = -PAST_DAYS
        for session in plan:
            for passing in range(day, session.day + 1):
                self._tests_on(passing)
            day = max(day, session.day + 1)
            self._session(session)
        return self.history

    def _session(self, session: PlannedSession) -> None:
        for number, bike in self._riders(session):
            state = self._state(session)
            booking = DemoBooking(session, number, bike, state)
            self.history.bookings.append(booking)
            student = self.students[number]
            student.last_seen = session.day
            if state is BookingState.ATTENDED:
                self._ride(student, booking)
                self._book_test(student, session.day)

    def _state(self, session: PlannedSession) -> BookingState:
        if session.day >= 0:
            return BookingState.BOOKED
        draw = self.rng.random()
        if draw < 0.03:
            return BookingState.NO_SHOW
        return BookingState.CANCELLED if draw < 0.07 else BookingState.ATTENDED

    def _riders(self, session: PlannedSession) -> list[tuple[int, int]]:
        """Up to four students, those who have waited longest first, each with a free bike."""
        waiting = [n for n, s in enumerate(self.students) if s.wants(session.day)]
        waiting.sort(key=lambda n: (self.students[n].last_seen, self.rng.random()))
        free = set(range(len(self.bikes))) - self._taken(session)
        chosen: list[tuple[int, int]] = []
        for number in waiting:
            category = self.students[number].facts.category
            fitting = sorted(bike for bike in free if self.bikes[bike] is category)
            if fitting and len(chosen) < self._places(session):
                free.discard(fitting[0])
                chosen.append((number, fitting[0]))
        return chosen

    def _places(self, session: PlannedSession) -> int:
        return 4 if session.day <= 0 else 2 + session.id % 2

    def _taken(self, session: PlannedSession) -> set[int]:
        return {
            booking.bike
            for booking in self.history.bookings[-8:]
            if booking.session.starts_at == session.starts_at
        }

    def _ride(self, student: _Student, booking: DemoBooking) -> None:
        session = booking.session
        load = load_of(self.rng, session.surface or "dry", bool(session.windy))
        moment = session.starts_at + timedelta(minutes=12)
        if student.sessions >= 4 and session.yard == 0 and self.rng.random() < _MOCK_SHARE:
            moment = self._mock(student, booking, moment, load)
        variants = self._rideable(student, session.yard)
        again: CourseVariant | None = None
        while moment < session.ends_at - timedelta(minutes=4):
            variant = again or choose(self.rng, student.rider, variants, session.day)
            ride = student.rider.ride(self.rng, variant, session.day, load, bool(again))
            again = variant if ride.outcome is Outcome.RIDE_AGAIN else None
            student.outcomes.append(ride.outcome)
            self.history.rides.append(DemoRide(self._uuid(), booking, moment, ride))
            moment += timedelta(minutes=self.rng.uniform(*_RIDE_MINUTES))
        student.sessions += 1

    def _mock(
        self, student: _Student, booking: DemoBooking, start: datetime, load: float
    ) -> datetime:
        """A mock test at the start of a session; when practice goes on after it."""
        side = self.rng.choice(tuple(Side))
        lines = lines_of(self.course, side)
        rides = list(ride_test(self.rng, student.rider, lines, booking.session.day, load))
        times = moments(start, len(rides) + 1)
        test = DemoMock(
            self._uuid(),
            booking.session.id,
            booking.student,
            booking.session.instructor,
            side,
            start,
            times[-1],
        )
        self.history.mocks.append(test)
        for moment, ride in zip(times, rides, strict=False):
            student.outcomes.append(ride.outcome)
            self.history.rides.append(DemoRide(self._uuid(), booking, moment, ride, test.id))
        return times[-1]

    def _rideable(self, student: _Student, yard: int) -> list[CourseVariant]:
        """What the yard allows, and no speed exercise before the third session."""
        allowed = [
            variant
            for variant in self.course
            if variant.code in self.sides[yard] or variant.manoeuvre != "avoidance"
        ]
        if student.sessions >= 2:
            return allowed
        return [variant for variant in allowed if not variant.has_minimum]

    def _uuid(self) -> UUID:
        return UUID(int=self.rng.getrandbits(128), version=4)

    def _book_test(self, student: _Student, day: int) -> None:
        if student.test_day is None and student.is_ready():
            student.test_day = day + self.rng.randint(3, 9)

    def _tests_on(self, day: int) -> None:
        for number, student in enumerate(self.students):
            if student.test_day == day:
                self._test(number, student, day)

    def _test(self, number: int, student: _Student, day: int) -> None:
        on = self.today + timedelta(days=day)
        starts = datetime.combine(on, time(10, 20), self.zone).astimezone(UTC)
        bike = next(n for n, c in enumerate(self.bikes) if c is student.facts.category)
        if day >= 0:
            self.history.tests.append(DemoTest(number, starts, bike, None))
            return
        result = TestResult.PASS if self._passes(student, day) else TestResult.FAIL
        self.history.tests.append(DemoTest(number, starts, bike, result))
        student.passed = result is TestResult.PASS
        student.test_day = None if student.passed else day + _RETEST_DAYS

    def _passes(self, student: _Student, day: int) -> bool:
        """One ride of everything, with care; a slow one is ridden again, as on the day."""
        lines = lines_of(self.course, self.rng.choice(tuple(Side)))
        rides = list(ride_test(self.rng, student.rider, lines, day, TEST_CARE))
        faults = [fault.severity for ride in rides for fault in ride.faults]
        failed = any(ride.outcome in (Outcome.SERIOUS, Outcome.DANGEROUS) for ride in rides)
        return not failed and faults.count(Severity.RIDING) <= 5
