"""One instructor: hours, days off and what they may teach."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.people.authorisations import InstructorFacts
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.refusal import Missing
from app.store.people.tables import (
    AuthorisationRow,
    DayOffRow,
    InstructorHoursRow,
    InstructorRow,
)


@dataclass(frozen=True, slots=True)
class DaysOff:
    """Days off as they are kept."""

    id: int
    instructor_id: int
    out: DaysOut


@dataclass(frozen=True, slots=True)
class InstructorRecord:
    """One instructor with the days off that are not over, and the version an edit starts from."""

    id: int
    version: int
    active: bool
    facts: InstructorFacts
    days_off: tuple[DaysOff, ...]


def instructor(session: Session, instructor_id: int, today: date) -> InstructorRecord:
    """One instructor's record; Missing when there is none. Four queries."""
    row = instructor_row(session, instructor_id)
    days_off = session.scalars(
        select(DayOffRow)
        .where(DayOffRow.instructor_id == instructor_id, DayOffRow.last_day >= today)
        .order_by(DayOffRow.first_day, DayOffRow.id)
    )
    return InstructorRecord(
        id=row.id,
        version=row.version,
        active=row.active,
        facts=instructor_facts(session, row),
        days_off=tuple(_days_off(each) for each in days_off),
    )


def instructor_row(session: Session, instructor_id: int) -> InstructorRow:
    """An instructor's row; Missing when there is none."""
    row = session.get(InstructorRow, instructor_id)
    if row is None:
        raise Missing
    return row


def instructor_facts(session: Session, row: InstructorRow) -> InstructorFacts:
    """What is written down about an instructor. Two queries."""
    hours = session.scalars(
        select(InstructorHoursRow)
        .where(InstructorHoursRow.instructor_id == row.id)
        .order_by(InstructorHoursRow.weekday, InstructorHoursRow.begins)
    )
    authorisations = session.scalars(
        select(AuthorisationRow).where(AuthorisationRow.instructor_id == row.id)
    )
    return InstructorFacts(
        name=row.name,
        hours=tuple(WeeklyHours(each.weekday, each.begins, each.ends) for each in hours),
        authorisations={each.kind: each.expires_on for each in authorisations},
    )


def days_off(session: Session, day_off_id: int) -> DaysOff:
    """Days off that were written down; Missing when there are none."""
    row = session.get(DayOffRow, day_off_id)
    if row is None:
        raise Missing
    return _days_off(row)


def _days_off(row: DayOffRow) -> DaysOff:
    out = DaysOut(row.first_day, row.last_day, row.reason, instructor_id=row.instructor_id)
    return DaysOff(row.id, row.instructor_id, out)
