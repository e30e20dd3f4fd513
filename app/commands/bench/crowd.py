"""The demo school made larger for the bench: more students, or a longer history of each."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from app.store.database import Database
from app.store.progress.writes import rebuild

APART = 10_000
"""Between the ids of a row and of its next copy; the demo has fewer of anything."""

DAYS_BACK = 63
"""Between a history and its next copy; the demo's is eight weeks long."""

_TIMES = "WITH RECURSIVE times(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM times WHERE n < {}) "
_RIDE = "printf('%08x', n) || substr({}, 9)"
"""The id of a copied ride: the last 24 digits stay, and no two rides of the demo share them."""


def more_students(path: Path, times: int) -> None:
    """Have each student of the school at ``path`` so many times, with all that is theirs."""
    with sqlite3.connect(path) as school:
        everyone = {"id": _moved("id"), "account_id": "NULL", "name": "name || ' ' || n"}
        _copy(school, times, "students", everyone)
        # The copies ride in the same sessions, which need room for them.
        school.execute("UPDATE training_sessions SET places = places * ?", (times,))
        place = {"id": _moved("id"), "student_id": _moved("student_id"), "bike_id": "NULL"}
        _copy(school, times, "bookings", place)
        _copy(school, times, "test_appointments", place)
        _copy_rides(school, times, {"student_id": _moved("student_id")})
        for table in ("learners", "standings"):
            _copy(school, times, table, {"student_id": _moved("student_id")})
        school.execute("ANALYZE")


def longer_history(path: Path, times: int) -> None:
    """Have each student's history so many times, one before the other, and reckon it up."""
    with sqlite3.connect(path) as school:
        past = "id IN (SELECT session_id FROM attempts)"
        when = {"starts_at": _earlier("starts_at"), "ends_at": _earlier("ends_at")}
        _copy(school, times, "training_sessions", {"id": _moved("id"), **when}, past)
        past = "session_id IN (SELECT session_id FROM attempts)"
        place = {"id": _moved("id"), "session_id": _moved("session_id"), **when}
        _copy(school, times, "bookings", place, past)
        ridden = {"session_id": _moved("session_id"), "ridden_at": _earlier("ridden_at")}
        _copy_rides(school, times, ridden)
        school.execute("ANALYZE")
    database = Database(f"sqlite:///{path}")
    rebuild(database)
    database.close()


def _copy_rides(school: sqlite3.Connection, times: int, changed: dict[str, str]) -> None:
    ride = {"id": _RIDE.format("id"), "mock_test_id": "NULL", **changed}
    _copy(school, times, "attempt_faults", {"attempt_id": _RIDE.format("attempt_id")})
    _copy(school, times, "attempts", ride)


def _copy(
    school: sqlite3.Connection,
    times: int,
    table: str,
    changed: dict[str, str],
    where: str = "true",
) -> None:
    """Copy the rows of a table until each is there so many times, changed from copy to copy."""
    if times < 2:
        return
    names = [row[1] for row in school.execute(f"PRAGMA table_info({table})")]
    values = ", ".join(changed.get(name, name) for name in names)
    school.execute(
        f"INSERT INTO {table} ({', '.join(names)}) {_TIMES.format(times - 1)}"  # noqa: S608
        f"SELECT {values} FROM {table}, times WHERE {where}"
    )


def _moved(column: str) -> str:
    return f"{column} + n * {APART}"


def _earlier(column: str) -> str:
    """The same time of day some weeks before; the school keeps moments as text."""
    days = f"'-' || (n * {DAYS_BACK}) || ' days'"
    return f"date(substr({column}, 1, 10), {days}) || substr({column}, 11)"
