"""The demo school as rows. Ids are given here, so that rows can name each other beforehand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from random import Random
from typing import Any

from app.rules.accounts.roles import Role
from app.rules.diary.values import BookingState, GivenUpFor, TestModule
from app.rules.papers.values import PaperKind
from app.rules.riding.values import SeenFault
from app.store.school.demo.data import DemoSchool, DemoStudent
from app.store.school.demo.history import DemoBooking, DemoRide, DemoTest
from app.store.school.demo.mocks import DemoMock, lines_of
from app.store.school.demo.plan import PAST_DAYS, PlannedSession
from app.store.school.demo.riders import CourseVariant

Row = dict[str, Any]
DESK_ACCOUNT = 2


@dataclass(frozen=True, slots=True)
class Rows:
    """Makes rows for one demo school on one day; ``now`` is the moment of loading."""

    school: DemoSchool
    now: datetime
    today: date

    @property
    def opened(self) -> datetime:
        """When the demo's own history begins."""
        return self.now - timedelta(days=PAST_DAYS + 7)

    def accounts(self, password_hash: str) -> Iterator[Row]:
        """Staff first, then a student each."""
        people = [(p["email"], p["name"]) for p in self.school.staff]
        people += [(s.mailbox, s.name) for s in self.school.students]
        for number, (mailbox, name) in enumerate(people, start=1):
            yield {
                "id": number,
                "email": self.school.address(mailbox),
                "name": name,
                "password_hash": password_hash,
                "active": True,
                "created_at": self.opened,
            }

    def roles(self) -> Iterator[Row]:
        """What each account may do."""
        for number, person in enumerate(self.school.staff, start=1):
            yield from ({"account_id": number, "role": Role(role)} for role in person["roles"])
        for number, _student in enumerate(self.school.students):
            yield {"account_id": self.student_account(number), "role": Role.STUDENT}

    def student_account(self, number: int) -> int:
        """The account of a student by number."""
        return len(self.school.staff) + number + 1

    def instructors(self) -> Iterator[Row]:
        """The staff who teach, in the order of the file."""
        teaching = [
            (account, person)
            for account, person in enumerate(self.school.staff, start=1)
            if Role.INSTRUCTOR in person["roles"]
        ]
        for number, (account, person) in enumerate(teaching, start=1):
            yield {"id": number, "account_id": account, "name": person["name"], "active": True}

    def instructor_account(self, number: int) -> int:
        """The account of an instructor by number."""
        return int([*self.instructors()][number]["account_id"])

    def students(self, rng: Random) -> Iterator[Row]:
        """Everyone who learns, with someone to ring, and a guardian where one is needed."""
        for number, student in enumerate(self.school.students):
            born = self.today - timedelta(days=rng.randint(3, 360))
            guardian = f"{student.name.split()[-1]} (parent)" if student.age < 18 else None
            yield {
                "id": number + 1,
                "account_id": self.student_account(number),
                "name": student.name,
                "phone": f"01632 960{number + 100:03}",
                "email": self.school.address(student.mailbox),
                "date_of_birth": _in_year(born, born.year - student.age),
                "category": student.category,
                "emergency_name": f"{rng.choice(_FIRST_NAMES)} {student.name.split()[-1]}",
                "emergency_phone": f"01632 960{number + 200:03}",
                "guardian_name": guardian,
                "guardian_phone": f"01632 960{number + 200:03}" if guardian else None,
                "notes": "",
                "created_at": self.opened,
                "version": 1,
            }

    def papers(self, rng: Random) -> Iterator[Row]:
        """A provisional licence and a CBT certificate each, and a theory pass for most."""
        for number, student in enumerate(self.school.students, start=1):
            kinds = [PaperKind.PROVISIONAL, PaperKind.CBT]
            if rng.random() < 0.85:
                kinds.append(PaperKind.THEORY)
            yield from (self._paper(rng, number, student, kind) for kind in kinds)

    def _paper(self, rng: Random, number: int, student: DemoStudent, kind: PaperKind) -> Row:
        days = rng.randint(30, 300 if student.age > 17 else 60)
        if kind is not PaperKind.PROVISIONAL and rng.random() < 0.08:
            days = rng.randint(690, 722) if student.age > 18 else days
        issued = self.today - timedelta(days=days)
        lapses = None if kind is PaperKind.PROVISIONAL else _in_year(issued, issued.year + 2)
        return {
            "student_id": number,
            "kind": kind,
            "issued_on": issued,
            "expires_on": lapses,
            "checked_by": DESK_ACCOUNT,
            "checked_at": self.opened,
        }

    def yards(self) -> Iterator[Row]:
        """The yards."""
        for number, yard in enumerate(self.school.yards, start=1):
            yield {"id": number, "open": True, **yard}

    def bikes(self) -> Iterator[Row]:
        """The bikes, one of them off the road."""
        for number, bike in enumerate(self.school.bikes, start=1):
            reason = bike.get("off_road_reason")
            since = self.now - timedelta(days=2) if reason else None
            ours = {"id": number, "version": 1, "off_road_since": since, "off_road_reason": reason}
            yield {**bike, **ours}


def _in_year(day: date, year: int) -> date:
    """The same day of another year; 28 February stands in for the 29th."""
    leap_day = (day.month, day.day) == (2, 29)
    return day.replace(year=year, day=28 if leap_day else day.day)


_FIRST_NAMES = ("Robin", "Sam", "Alex", "Jo", "Nic", "Bobbie", "Ash", "Lee")


def sessions(plan: list[PlannedSession]) -> Iterator[Row]:
    """The sessions of the diary."""
    for session in plan:
        yield {
            "id": session.id,
            "yard_id": session.yard + 1,
            "instructor_id": session.instructor + 1,
            "kind": session.kind,
            "starts_at": session.starts_at,
            "ends_at": session.ends_at,
            "places": 4,
            "surface": session.surface,
            "windy": session.windy,
            "remarks": "",
            "version": 1,
        }


def bookings(made: list[DemoBooking], now: datetime) -> Iterator[Row]:
    """The bookings, each made a few days before its session."""
    for booking in made:
        cancelled = booking.state is BookingState.CANCELLED
        starts = booking.session.starts_at
        yield {
            "session_id": booking.session.id,
            "starts_at": starts,
            "ends_at": booking.session.ends_at,
            "student_id": booking.student + 1,
            "bike_id": booking.bike + 1,
            "state": booking.state,
            "booked_at": min(starts - timedelta(days=4), now - timedelta(hours=1)),
            "booked_by": DESK_ACCOUNT,
            "cancelled_at": starts - timedelta(hours=20 + booking.student) if cancelled else None,
            "cancelled_by": DESK_ACCOUNT if cancelled else None,
            "given_up_for": GivenUpFor.STUDENT if cancelled else None,
            "late": cancelled and booking.student < 28,
            "version": 1,
        }


def attempts(rides: list[DemoRide], recorder: dict[int, int]) -> Iterator[Row]:
    """The rides; ``recorder`` gives the account of each instructor by number."""
    for made in rides:
        session = made.booking.session
        yield {
            "id": made.id,
            "session_id": session.id,
            "student_id": made.booking.student + 1,
            "variant_id": made.ride.variant.id,
            "bike_id": made.booking.bike + 1,
            "recorded_by": recorder[session.instructor],
            "ridden_at": made.ridden_at,
            "received_at": made.ridden_at,
            "outcome": made.ride.outcome,
            "speed_result": made.ride.speed_result,
            "speed_kmh": made.ride.speed_kmh,
            "speed_source": made.ride.source,
            "second_try": made.ride.second_try,
            "mock_test_id": made.mock,
            "skew_seconds": 0,
        }


def mock_tests(mocks: list[DemoMock], recorder: dict[int, int]) -> Iterator[Row]:
    """The mock tests."""
    for mock in mocks:
        yield {
            "id": mock.id,
            "session_id": mock.session_id,
            "student_id": mock.student + 1,
            "recorded_by": recorder[mock.instructor],
            "side": mock.side,
            "started_at": mock.started_at,
            "ended_at": mock.ended_at,
        }


def mock_lines(mocks: list[DemoMock], course: Sequence[CourseVariant]) -> Iterator[Row]:
    """What each mock test was to ride, in order."""
    for mock in mocks:
        for place, variant in enumerate(lines_of(course, mock.side), start=1):
            yield {"mock_test_id": mock.id, "place": place, "variant_id": variant.id}


def attempt_faults(rides: list[DemoRide], kinds: dict[str, int]) -> Iterator[Row]:
    """The faults of the rides; ``kinds`` gives the id of a fault kind by code."""
    for made in rides:
        for place, fault in enumerate(made.ride.faults, start=1):
            yield {"attempt_id": made.id, "place": place, **_fault(fault, kinds)}


def _fault(fault: SeenFault, kinds: dict[str, int]) -> Row:
    return {"fault_kind_id": kinds[fault.kind], "severity": fault.severity, "side": fault.side}


def tests(taken: list[DemoTest], centre: str) -> Iterator[Row]:
    """The real tests, past and coming."""
    for test in taken:
        yield {
            "student_id": test.student + 1,
            "module": TestModule.MODULE_1,
            "centre": centre,
            "starts_at": test.starts_at,
            "bike_id": test.bike + 1,
            "result": test.result,
        }
