"""The people of the tests: always the same few, so that a test can say who without explaining.

Olive owns the school. Dev is at the desk. Ines teaches, and so does Ivor, who
is not Ines. Ines has done the safety check of her session, Ivor has not. Lena
is Ines's learner and Stan is a stranger to her: a student of the same school
whose record is none of Lena's business, and whose session is Ivor's.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache

from argon2 import PasswordHasher
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Role
from app.rules.categories import Category
from app.rules.diary.values import BookingState, SessionKind
from app.store.accounts.tables import AccountRoleRow, AccountRow
from app.store.columns import Base
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.riding.safety_tables import SafetyCheckRow
from app.store.yards.tables import BikeRow, YardRow

PASSWORD = "a long enough secret"


@dataclass(frozen=True, slots=True)
class Cast:
    """The ids of everyone and everything in the small school of the tests."""

    owner: int
    desk: int
    instructor_account: int
    other_instructor_account: int
    learner_account: int
    stranger_account: int
    instructor: int
    other_instructor: int
    learner: int
    stranger: int
    yard: int
    small_yard: int
    bike: int
    other_bike: int
    session: int
    other_session: int
    booking: int
    other_booking: int


EMAILS = {
    "owner": "olive@example.org",
    "desk": "dev@example.org",
    "instructor": "ines@example.org",
    "other_instructor": "ivor@example.org",
    "learner": "lena@example.org",
    "stranger": "stan@example.org",
}


@cache
def _password_hash() -> str:
    return PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSWORD)


def make(database: Database, now: datetime) -> Cast:
    """Put the cast into an empty school; ``now`` falls into Ines's and Ivor's sessions."""
    with database.writing() as session:
        ids: dict[str, int] = {}
        ids |= _accounts(session, now)
        ids |= _people(session, ids, now)
        ids |= _yards(session)
        ids |= _diary(session, ids, now)
        return Cast(**ids)


def _keep(session: Session, row: Base) -> int:
    session.add(row)
    session.flush()
    return int(row.id)  # type: ignore[attr-defined]


def _account(session: Session, who: str, name: str, role: Role, now: datetime) -> int:
    return _keep(
        session,
        AccountRow(
            email=EMAILS[who],
            name=name,
            password_hash=_password_hash(),
            created_at=now,
            roles=[AccountRoleRow(role=role)],
        ),
    )


def _accounts(session: Session, now: datetime) -> dict[str, int]:
    people = {
        "owner": ("owner", "Olive Marsh", Role.OWNER),
        "desk": ("desk", "Dev Rook", Role.DESK),
        "instructor_account": ("instructor", "Ines Heron", Role.INSTRUCTOR),
        "other_instructor_account": ("other_instructor", "Ivor Plover", Role.INSTRUCTOR),
        "learner_account": ("learner", "Lena Wren", Role.STUDENT),
        "stranger_account": ("stranger", "Stan Crake", Role.STUDENT),
    }
    return {key: _account(session, *facts, now) for key, facts in people.items()}


def _student(session: Session, name: str, account: int, now: datetime) -> int:
    return _keep(
        session,
        StudentRow(
            name=name,
            account_id=account,
            phone="01632 960001",  # a number range kept for fiction
            email=None,
            date_of_birth=date(1998, 5, 17),
            category=Category.A,
            emergency_name="Robin Wren",
            emergency_phone="01632 960002",
            created_at=now,
        ),
    )


def _people(session: Session, ids: dict[str, int], now: datetime) -> dict[str, int]:
    instructors = {
        "instructor": ("Ines Heron", ids["instructor_account"]),
        "other_instructor": ("Ivor Plover", ids["other_instructor_account"]),
    }
    return {
        "learner": _student(session, "Lena Wren", ids["learner_account"], now),
        "stranger": _student(session, "Stan Crake", ids["stranger_account"], now),
        **{
            key: _keep(session, InstructorRow(name=name, account_id=account))
            for key, (name, account) in instructors.items()
        },
    }


def _bike(session: Session, number: int) -> int:
    return _keep(
        session,
        BikeRow(
            label=f"Bike {number}",
            registration=f"QI2{number} AAA",
            category=Category.A,
            capacity_cc=650,
            power_kw=52.0,
            kerb_kg=195,
        ),
    )


def _yards(session: Session) -> dict[str, int]:
    big = YardRow(name="Long yard", length_m=130, width_m=45, places=4)
    small = YardRow(name="Short yard", length_m=60, width_m=30, places=3, avoidance_left=False)
    return {
        "yard": _keep(session, big),
        "small_yard": _keep(session, small),
        "bike": _bike(session, 1),
        "other_bike": _bike(session, 2),
    }


def _session(session: Session, yard: int, instructor: int, now: datetime) -> int:
    return _keep(
        session,
        SessionRow(
            yard_id=yard,
            instructor_id=instructor,
            kind=SessionKind.MODULE_1,
            starts_at=now - timedelta(hours=1),
            ends_at=now + timedelta(hours=2),
            places=4,
        ),
    )


def _booking(session: Session, training: int, student: int, bike: int, now: datetime) -> int:
    return _keep(
        session,
        BookingRow(
            session_id=training,
            student_id=student,
            bike_id=bike,
            state=BookingState.BOOKED,
            booked_at=now,
        ),
    )


def _diary(session: Session, ids: dict[str, int], now: datetime) -> dict[str, int]:
    own = _session(session, ids["yard"], ids["instructor"], now)
    other = _session(session, ids["small_yard"], ids["other_instructor"], now)
    session.add(SafetyCheckRow(session_id=own, confirmed_at=now, checks=["All is well."]))
    return {
        "session": own,
        "other_session": other,
        "booking": _booking(session, own, ids["learner"], ids["bike"], now),
        "other_booking": _booking(session, other, ids["stranger"], ids["other_bike"], now),
    }
