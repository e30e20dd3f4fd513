"""Which sessions stand on days that are closed or off, so that somebody sees to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
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
    session: Session,
    outs: Sequence[DaysOut],
    now: datetime,
    zone: ZoneInfo,
    instructor_id: int | None = None,
) -> tuple[Concerned, ...]:
    """For each of these days out the sessions that stand in it. One query.

    With ``instructor_id`` only theirs; otherwise those of the closed yard, or of all.
    """
    if not outs:
        return ()
    rows = session.execute(
        select(SessionRow.starts_at, SessionRow.yard_id, taken().label("taken"))
        .where(SessionRow.cancelled_at.is_(None), SessionRow.ends_at > now)
        .where(or_(*(_within(out, zone) for out in outs)))
        .where(*(() if instructor_id is None else (SessionRow.instructor_id == instructor_id,)))
        .order_by(SessionRow.starts_at)
    ).all()
    found = [(day_of(row.starts_at, zone), row.yard_id, row.taken) for row in rows]
    return tuple(_of(out, found) for out in outs)


def _within(out: DaysOut, zone: ZoneInfo) -> ColumnElement[bool]:
    days = (out.last_day - out.first_day + timedelta(days=1)).days
    begins, ends = span_of(out.first_day, days, zone)
    yard = () if out.yard_id is None else (SessionRow.yard_id == out.yard_id,)
    return and_(SessionRow.starts_at >= begins, SessionRow.starts_at < ends, *yard)


def _of(out: DaysOut, found: Sequence[tuple[date, int, int]]) -> Concerned:
    here = [
        (day, riders)
        for day, yard_id, riders in found
        if out.has(day) and out.yard_id in (None, yard_id)
    ]
    return Concerned(len(here), sum(riders for _, riders in here), here[0][0] if here else None)
