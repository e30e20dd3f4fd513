"""A diary for tests: wishes with usual values, and a school full of people and bookings."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import uuid4

from sqlalchemy import insert, select

from app.rules.accounts.roles import Actor, Role
from app.rules.categories import Category
from app.rules.diary.facts import SessionWish
from app.rules.diary.values import BookingState, SessionKind
from app.store.database import Database
from app.store.diary import booking_writes, session_writes
from app.store.diary.booking_writes import WantedPlace
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow
from tests.support.cast import Cast
from tests.support.clock import START

TOMORROW = date(2026, 11, 27)
DESK = Actor(None, "Dev Rook", frozenset({Role.DESK}), "test")


def wish(people: Cast, **changes: Any) -> SessionWish:
    """Ines in the long yard tomorrow from 09:00 to 11:00, four places, but for some changes."""
    usual = SessionWish(
        people.yard,
        people.instructor,
        SessionKind.MODULE_1,
        TOMORROW,
        time(9),
        time(11),
        places=4,
    )
    return replace(usual, **changes)


def add_session(database: Database, people: Cast, **changes: Any) -> int:
    """Put a session into the diary; its id."""
    return session_writes.add_session(database, DESK, wish(people, **changes), uuid4(), START)


def add_students(database: Database, number: int, **changes: Any) -> list[int]:
    """Grown students of category A with invented names; their ids."""
    usual = {"category": Category.A, "phone": "01632 960003", "created_at": START}
    rows = [{"name": f"Rider {n:05}", **usual, **changes} for n in range(number)]
    with database.writing() as session:
        made = session.scalars(insert(StudentRow).returning(StudentRow.id), rows)
        return list(made)


def add_bikes(database: Database, number: int, category: Category = Category.A) -> list[int]:
    """Bikes on the road; their ids."""
    figures = {"category": category, "capacity_cc": 650, "power_kw": 52.0, "kerb_kg": 195}
    rows = [{"label": f"B{n}", "registration": f"QI24 {n}", **figures} for n in range(number)]
    with database.writing() as session:
        return list(session.scalars(insert(BikeRow).returning(BikeRow.id), rows))


def book(
    database: Database, session_id: int, student_id: int, bike_id: int | None, now: datetime = START
) -> int:
    """Book a place; the booking's id."""
    place = WantedPlace(session_id, student_id, bike_id)
    return booking_writes.book(database, DESK, place, uuid4(), now)


def fill(database: Database, people: Cast, days: int = 10) -> None:
    """Two full sessions a day from tomorrow on, with other students in each."""
    bikes = add_bikes(database, 4)
    for number in range(days):
        day = TOMORROW + timedelta(days=number)
        for starts in (9, 13):
            made = add_session(
                database, people, day=day, starts=time(starts), ends=time(starts + 2)
            )
            _take(database, made, bikes)


def _take(database: Database, session_id: int, bikes: list[int]) -> None:
    riders = add_students(database, len(bikes))
    rows = [
        {
            "session_id": session_id,
            "student_id": rider,
            "bike_id": bike,
            "state": BookingState.BOOKED,
            "booked_at": START,
        }
        for rider, bike in zip(riders, bikes, strict=True)
    ]
    with database.writing() as session:
        session.execute(insert(BookingRow), rows)


def booking(database: Database, booking_id: int) -> BookingRow:
    """A booking as it is kept."""
    with database.reading() as session:
        return session.get_one(BookingRow, booking_id)


def sessions_kept(database: Database) -> list[SessionRow]:
    """All sessions as they are kept, by time."""
    with database.reading() as session:
        return list(session.scalars(select(SessionRow).order_by(SessionRow.starts_at)))
