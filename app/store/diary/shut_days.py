"""Closures and days off on which sessions still stand, and authorisations that run out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of
from app.rules.people.authorisations import AUTHORISATION_WORDS, Authorisation
from app.rules.people.days import DaysOut
from app.store.diary.concerned import Concerned, concerned
from app.store.people.tables import AuthorisationRow, DayOffRow, InstructorRow
from app.store.yards.opening import closures

NOTICE = timedelta(weeks=8)
"""So long before an authorisation ends the desk is told. Our own choice."""


@dataclass(frozen=True, slots=True)
class ShutDays:
    """Days out on which sessions still stand; ``who`` is the yard, the instructor or the school."""

    who: str
    out: DaysOut
    standing: Concerned


@dataclass(frozen=True, slots=True)
class RunningOut:
    """An authorisation of somebody who teaches that ends soon, or has ended."""

    instructor_id: int
    instructor: str
    kind: Authorisation
    last_day: date

    @property
    def what(self) -> str:
        """What it is for."""
        return AUTHORISATION_WORDS[self.kind]


def shut_days(session: Session, now: datetime, zone: ZoneInfo) -> tuple[ShutDays, ...]:
    """The days out to come on which sessions still stand, in order. Three queries."""
    today = day_of(now, zone)
    named = [(each.where, each.out) for each in closures(session, today)]
    rows = session.execute(
        select(DayOffRow, InstructorRow.name)
        .join(InstructorRow, DayOffRow.instructor_id == InstructorRow.id)
        .where(DayOffRow.last_day >= today)
    )
    for row, name in rows:
        named.append((name, DaysOut(row.first_day, row.last_day, instructor_id=row.instructor_id)))
    counts = concerned(session, [out for _, out in named], now, zone)
    found = (ShutDays(*one, count) for one, count in zip(named, counts, strict=True))
    return tuple(sorted((one for one in found if one.standing.sessions), key=_first_day))


def _first_day(shut: ShutDays) -> date:
    return shut.standing.first_day or shut.out.first_day


def running_out(session: Session, today: date) -> tuple[RunningOut, ...]:
    """The authorisations that end within NOTICE or have ended, the oldest first. One query."""
    rows = session.execute(
        select(AuthorisationRow, InstructorRow.name)
        .join(InstructorRow, AuthorisationRow.instructor_id == InstructorRow.id)
        .where(InstructorRow.active, AuthorisationRow.expires_on <= today + NOTICE)
        .order_by(AuthorisationRow.expires_on, InstructorRow.name, AuthorisationRow.kind)
    )
    return tuple(
        RunningOut(row.instructor_id, name, row.kind, row.expires_on)
        for row, name in rows
        if row.expires_on is not None
    )
