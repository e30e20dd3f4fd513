"""Which sessions stand on days that are closed or off, so that somebody sees to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, and_, or_, select
from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of, span_of
from app.rules.people.days import DaysOut
from app.store.diary.lines import taken
from app.store.diary.tables import SessionRow


@dataclass(frozen=True, slots=True)
class Concerned:
    """The sessions still to come on some days: how many, with how many students, from when."""

    sessions: int
    students: int
    first_day: date | None


def concerned(
    session: Session, outs: Sequence[DaysOut], now: datetime, zone: ZoneInfo
) -> tuple[Concerned, ...]:
    """For each of these days out the sessions still to come that stand in it. One query."""
    if not outs:
        return ()
    rows = session.execute(
        select(SessionRow.starts_at, SessionRow.yard_id, SessionRow.instructor_id)
        .add_columns(taken(now).label("taken"))
        .where(SessionRow.cancelled_at.is_(None), SessionRow.ends_at > now)
        .where(or_(*(_within(out, zone) for out in outs)))
        .order_by(SessionRow.starts_at)
    ).all()
    return tuple(_of(out, rows, zone) for out in outs)


def _within(out: DaysOut, zone: ZoneInfo) -> ColumnElement[bool]:
    days = (out.last_day - out.first_day).days + 1
    begins, ends = span_of(out.first_day, days, zone)
    return and_(SessionRow.starts_at >= begins, SessionRow.starts_at < ends)


def _of(out: DaysOut, rows: Sequence[Any], zone: ZoneInfo) -> Concerned:
    here = [
        (day_of(row.starts_at, zone), row.taken)
        for row in rows
        if out.has(day_of(row.starts_at, zone))
        and out.yard_id in (None, row.yard_id)
        and out.instructor_id in (None, row.instructor_id)
    ]
    return Concerned(len(here), sum(riders for _, riders in here), here[0][0] if here else None)
