"""The demo school grown to a large one: 90 days of sessions with riders in them."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import cycle
from pathlib import Path

INSTRUCTORS, BIKES, STUDENTS, DAYS = 20, 60, 10_000, 90
"""What the school has in the end, and for how many days its diary is filled."""

_STARTS = (time(9), time(11, 15), time(14))
_HOURS = timedelta(hours=2)
_PLACES = 3
_Row = tuple[object, ...]

_PEOPLE = """
INSERT INTO instructors (name, active, version) VALUES (?, 1, 1)
"""
_BIKE = """
INSERT INTO bikes (label, registration, category, capacity_cc, power_kw, kerb_kg, version)
VALUES (?, ?, ?, 650, 52, 195, 1)
"""
_STUDENT = """
INSERT INTO students (name, category, notes, sought, created_at, version)
VALUES (?, 'A', '', ?, ?, 1)
"""
_YARD = """
INSERT INTO yards (name, length_m, width_m, places, speed_run, avoidance_left, avoidance_right,
                   remarks, open, version)
VALUES ('Bench yard', 400, 100, 90, 1, 1, 1, '', 1, 1)
"""
_SESSION = """
INSERT INTO training_sessions (id, yard_id, instructor_id, kind, starts_at, ends_at, places,
                               surface_remark, remarks, version)
VALUES (?, ?, ?, 'module_1', ?, ?, ?, '', '', 1)
"""
_BOOKING = """
INSERT INTO bookings (session_id, student_id, bike_id, starts_at, ends_at, state, booked_at,
                      late, version)
VALUES (?, ?, ?, ?, ?, 'booked', ?, 0, 1)
"""


def fill_diary(path: Path, today: date, days: int = DAYS, students: int = STUDENTS) -> int:
    """Fill the diary of the school at ``path`` from ``today`` on; how many rows that takes.

    Each new instructor has three sessions a day, of which the second is full.
    """
    with sqlite3.connect(path) as school:
        now = _text(datetime.combine(today, time(), UTC))
        yard = school.execute(_YARD).lastrowid
        teachers = _added(school, "instructors", _PEOPLE, INSTRUCTORS, lambda n: (f"Bench {n}",))
        bikes = _added(school, "bikes", _BIKE, BIKES, _bike)
        riders = _added(
            school, "students", _STUDENT, students, lambda n: (f"Rider {n}", f"rider {n}", now)
        )
        last = school.execute("SELECT max(id) FROM training_sessions").fetchone()[0] or 0
        sessions = list(_sessions(today, days, last + 1, yard, teachers))
        school.executemany(_SESSION, sessions)
        bookings = list(_bookings(sessions, teachers, bikes, cycle(riders), now))
        school.executemany(_BOOKING, bookings)
        school.execute("ANALYZE")
    return len(sessions) + len(bookings)


def _added(
    school: sqlite3.Connection, table: str, insert: str, until: int, row: Callable[[int], _Row]
) -> list[int]:
    """Add rows until the table has so many; the ids of the new ones."""
    (there,) = school.execute(f"SELECT count(*) FROM {table}").fetchone()  # noqa: S608
    return [school.execute(insert, row(n)).lastrowid or 0 for n in range(there, until)]


def _bike(number: int) -> _Row:
    category = ("A", "A2", "A1")[number % 3]
    return f"Bench bike {number}", f"QI25 {number}", category


def _sessions(
    today: date, days: int, first: int, yard: int | None, teachers: Sequence[int]
) -> Iterator[_Row]:
    number = first
    for day in range(days):
        for starts in _STARTS:
            begins = datetime.combine(today + timedelta(days=day), starts, UTC)
            for teacher in teachers:
                yield number, yard, teacher, _text(begins), _text(begins + _HOURS), _PLACES
                number += 1


def _bookings(
    sessions: Sequence[_Row],
    teachers: Sequence[int],
    bikes: Sequence[int],
    riders: Iterator[int],
    now: str,
) -> Iterator[_Row]:
    """Two riders on bikes of the school's in each session, and a third on their own in some."""
    for place, (number, _, _, starts, ends, _) in enumerate(sessions):
        turn, seat = divmod(place, len(teachers))
        for bike in bikes[2 * seat : 2 * seat + 2]:
            yield number, next(riders), bike, starts, ends, now
        if turn % len(_STARTS) == 1:
            yield number, next(riders), None, starts, ends, now


def _text(moment: datetime) -> str:
    """A moment as SQLite keeps it."""
    return f"{moment:%Y-%m-%d %H:%M:%S}.000000"
