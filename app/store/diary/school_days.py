"""The school's calendar for a range of days, for the rules."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.school_days import InstructorDays, SchoolCalendar
from app.rules.people.authorisations import Authorisation
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.settings import SchoolSettings
from app.store.diary.holidays import bank_holidays
from app.store.people.tables import (
    AuthorisationRow,
    DayOffRow,
    InstructorHoursRow,
    InstructorRow,
)
from app.store.yards.opening import opening_hours
from app.store.yards.tables import ClosureRow


def load(
    session: Session, first_day: date, last_day: date, school: SchoolSettings
) -> SchoolCalendar:
    """The calendar from one day to another, both included, of everyone. Six queries."""
    return SchoolCalendar(
        hours=opening_hours(session),
        closures=_closures(session, first_day, last_day),
        holidays=bank_holidays(school.nation, first_day, last_day),
        open_on_bank_holidays=school.open_on_bank_holidays,
        turnaround=timedelta(minutes=school.turnaround_minutes),
        travel=timedelta(minutes=school.travel_minutes),
        instructors=_instructors(session, first_day, last_day),
    )


def _closures(session: Session, first_day: date, last_day: date) -> tuple[DaysOut, ...]:
    rows = session.scalars(
        select(ClosureRow)
        .where(ClosureRow.first_day <= last_day, ClosureRow.last_day >= first_day)
        .order_by(ClosureRow.first_day, ClosureRow.id)
    )
    return tuple(DaysOut(row.first_day, row.last_day, row.reason, row.yard_id) for row in rows)


def _instructors(session: Session, first_day: date, last_day: date) -> dict[int, InstructorDays]:
    hours, days_off = _hours(session), _days_off(session, first_day, last_day)
    authorisations = _authorisations(session)
    rows = session.execute(select(InstructorRow.id, InstructorRow.name))
    return {
        row.id: InstructorDays(
            name=row.name,
            hours=tuple(hours[row.id]),
            days_off=tuple(days_off[row.id]),
            authorisations=authorisations[row.id],
        )
        for row in rows
    }


def _hours(session: Session) -> defaultdict[int, list[WeeklyHours]]:
    found: defaultdict[int, list[WeeklyHours]] = defaultdict(list)
    order = (InstructorHoursRow.weekday, InstructorHoursRow.begins)
    for row in session.scalars(select(InstructorHoursRow).order_by(*order)):
        found[row.instructor_id].append(WeeklyHours(row.weekday, row.begins, row.ends))
    return found


def _days_off(session: Session, first_day: date, last_day: date) -> defaultdict[int, list[DaysOut]]:
    found: defaultdict[int, list[DaysOut]] = defaultdict(list)
    rows = session.scalars(
        select(DayOffRow)
        .where(DayOffRow.first_day <= last_day, DayOffRow.last_day >= first_day)
        .order_by(DayOffRow.first_day, DayOffRow.id)
    )
    for row in rows:
        found[row.instructor_id].append(DaysOut(row.first_day, row.last_day, row.reason))
    return found


def _authorisations(session: Session) -> defaultdict[int, dict[Authorisation, date | None]]:
    found: defaultdict[int, dict[Authorisation, date | None]] = defaultdict(dict)
    for row in session.scalars(select(AuthorisationRow)):
        found[row.instructor_id][row.kind] = row.expires_on
    return found
