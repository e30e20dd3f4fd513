"""Opening hours, closures, days off and authorisations for tests, through the app's own writes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, time
from typing import Any
from uuid import uuid4

from app.rules.people.authorisations import Authorisation, InstructorFacts
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.people.hours import hours_version
from app.store import settings
from app.store.database import Database
from app.store.people import instructor_reads, instructor_writes
from app.store.yards import opening
from tests.support.clock import START
from tests.support.diary import DESK, TOMORROW

TODAY = START.date()


def every_day(begins: time = time(9), ends: time = time(17)) -> tuple[WeeklyHours, ...]:
    """The same hours on all seven days."""
    return tuple(WeeklyHours(weekday, begins, ends) for weekday in range(7))


def set_opening(database: Database, hours: tuple[WeeklyHours, ...]) -> int:
    """Keep the school's opening hours."""
    with database.reading() as session:
        version = hours_version(opening.opening_hours(session))
    return opening.set_opening_hours(database, DESK, version, hours, START)


def close(
    database: Database,
    first: date = TOMORROW,
    last: date | None = None,
    yard: int | None = None,
    reason: str = "Frost",
) -> int:
    """Close the school or a yard; the closure's id."""
    out = DaysOut(first, last or first, reason, yard)
    return opening.add_closure(database, DESK, out, uuid4(), TODAY, START)


def days_off(
    database: Database, instructor: int, first: date = TOMORROW, last: date | None = None
) -> int:
    """Give an instructor days off; their id."""
    out = DaysOut(first, last or first)
    return instructor_writes.add_days_off(database, DESK, instructor, out, uuid4(), TODAY, START)


def set_instructor(
    database: Database,
    instructor: int,
    hours: tuple[WeeklyHours, ...] = (),
    authorisations: Mapping[Authorisation, date | None] | None = None,
) -> int:
    """Keep an instructor's hours and authorisations."""
    with database.reading() as session:
        record = instructor_reads.instructor(session, instructor, TODAY)
    facts = InstructorFacts(record.facts.name, hours, authorisations or {})
    return instructor_writes.edit_instructor(
        database, DESK, instructor, record.version, facts, TODAY, START
    )


def set_school(database: Database, **changes: Any) -> None:
    """Change the school's settings."""
    with database.writing() as session:
        settings.save(session, replace(settings.load(session), **changes))
