"""A school on a busy day, put straight into the tables: many instructors, every place taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from itertools import product
from typing import Any

from sqlalchemy import insert
from sqlalchemy.orm import Session

from app.rules.categories import Category
from app.rules.diary.values import BookingState, SessionKind
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.yards.tables import BikeRow, YardRow
from tests.support.clock import LONDON, START

STARTS = (time(8, 30), time(10, 50), time(13, 20), time(15, 40))
LENGTH = timedelta(minutes=105)
PLACES = 4
FIRST = ("Marguerite", "Oluwaseun", "Tom", "Bartholomew", "Ana", "Siobhan", "Wilf", "Krzysztof")
LAST = ("Penhallow-Trewin", "Okonkwo", "Bell", "Fotheringham", "Diaz Romero", "Ashdown")


def busy_days(database: Database, days: Sequence[date], instructors: int = 8) -> list[str]:
    """Four full sessions a day for each of so many new instructors; the names of all who ride."""
    riders = [f"{FIRST[n % 8]} {LAST[n % 6]} {n}" for n in range(instructors * PLACES)]
    with database.writing() as session:
        people = _keep(session, InstructorRow, map(_instructor, range(instructors)))
        yards = _keep(session, YardRow, map(_yard, range(instructors)))
        bikes = _keep(session, BikeRow, map(_bike, range(len(riders))))
        students = _keep(session, StudentRow, map(_student, riders))
        for number, who in enumerate(people):
            taking = list(zip(students, bikes, strict=True))[number * PLACES :][:PLACES]
            for day, starts in product(days, STARTS):
                _session(session, yards[number], who, datetime.combine(day, starts, LONDON), taking)
    return riders


def _keep(session: Session, table: Any, rows: Iterable[dict[str, Any]]) -> list[int]:
    return list(session.scalars(insert(table).returning(table.id), list(rows)))


def _instructor(number: int) -> dict[str, Any]:
    return {"name": f"{FIRST[-1 - number % 8]} {LAST[number % 6]} the {number}th"}


def _yard(number: int) -> dict[str, Any]:
    return {"name": f"Yard behind the mill {number}", "length_m": 130, "width_m": 45, "places": 4}


def _bike(number: int) -> dict[str, Any]:
    figures = {"capacity_cc": 650, "power_kw": 52.0, "kerb_kg": 195, "category": Category.A}
    return {"label": f"Bike {number + 101}", "registration": f"QI25 {number:03}", **figures}


def _student(name: str) -> dict[str, Any]:
    return {"name": name, "category": Category.A, "phone": "01632 960004", "created_at": START}


def _session(
    session: Session, yard: int, who: int, starts: datetime, taking: list[tuple[int, int]]
) -> None:
    when = {"starts_at": starts, "ends_at": starts + LENGTH}
    place = {"yard_id": yard, "instructor_id": who, "places": PLACES}
    (made,) = _keep(session, SessionRow, [{"kind": SessionKind.MODULE_1, **place, **when}])
    rows = [
        {
            "session_id": made,
            "student_id": student,
            "bike_id": bike,
            "state": BookingState.BOOKED,
            "booked_at": START,
            **when,
        }
        for student, bike in taking
    ]
    session.execute(insert(BookingRow), rows)
