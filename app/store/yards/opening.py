"""When the school is open, and the closures of the school and of single yards."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.people.days_out import why_not_out
from app.rules.people.hours import hours_version, hours_words
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit
from app.store.database import Database, Lock
from app.store.once import once
from app.store.stale import check_version
from app.store.yards.tables import ClosureRow, OpeningHoursRow, YardRow


@dataclass(frozen=True, slots=True)
class Closure:
    """A closure as it is kept; ``yard`` is None for the whole school."""

    id: int
    yard: str | None
    out: DaysOut

    @property
    def where(self) -> str:
        """What is closed."""
        return self.yard or "The whole school"


def opening_hours(session: Session) -> tuple[WeeklyHours, ...]:
    """When the school is open, Monday first; nothing when nobody has said. One query."""
    rows = session.scalars(select(OpeningHoursRow).order_by(OpeningHoursRow.weekday))
    return tuple(WeeklyHours(row.weekday, row.opens, row.closes) for row in rows)


def set_opening_hours(
    db: Database, by: Actor, version: int, hours: tuple[WeeklyHours, ...], now: datetime
) -> int:
    """Keep when the school is open, at most one time a day; how many days that are.

    ``version`` is the hours_version of the hours that the form started from. Raises
    Refused when somebody was quicker.
    """
    with db.writing(Lock.DIARY) as session:
        before = opening_hours(session)
        check_version(hours_version(before), version)
        changed = {
            f"day_{n}": [hours_words(before, n), hours_words(hours, n)]
            for n in range(7)
            if hours_words(before, n) != hours_words(hours, n)
        }
        if changed:
            session.execute(delete(OpeningHoursRow))
            session.expunge_all()
            session.add_all(
                OpeningHoursRow(weekday=each.weekday, opens=each.begins, closes=each.ends)
                for each in hours
            )
            audit.record(session, by, now, "changed", "opening_hours", "school", **changed)
        return len({each.weekday for each in hours})


def closures(session: Session, today: date) -> tuple[Closure, ...]:
    """The closures that are not over, in order. One query."""
    rows = session.execute(
        select(ClosureRow, YardRow.name.label("yard"))
        .outerjoin(YardRow, ClosureRow.yard_id == YardRow.id)
        .where(ClosureRow.last_day >= today)
        .order_by(ClosureRow.first_day, ClosureRow.id)
    )
    return tuple(_closure(row.ClosureRow, row.yard) for row in rows)


def closure(session: Session, closure_id: int) -> Closure:
    """One closure; Missing when there is none."""
    row = session.get(ClosureRow, closure_id)
    if row is None:
        raise Missing
    yard = session.get(YardRow, row.yard_id) if row.yard_id else None
    return _closure(row, yard.name if yard else None)


def _closure(row: ClosureRow, yard: str | None) -> Closure:
    return Closure(row.id, yard, DaysOut(row.first_day, row.last_day, row.reason, row.yard_id))


def add_closure(
    db: Database, by: Actor, out: DaysOut, key: UUID, today: date, now: datetime
) -> int:
    """Close the school or one yard for some days, once for one form; the id.

    Sessions that stand then stay as they are. Refused with every reason against it.
    """
    if reasons := why_not_out(out, today, needs_reason=True):
        raise Refused(*reasons)
    with db.writing(Lock.DIARY) as session:
        if out.yard_id is not None and session.get(YardRow, out.yard_id) is None:
            raise Refused(Reason("Choose a yard from the list.", "yard_id"))
        return once(session, key, now, lambda: _new(session, by, out, now))


def _new(session: Session, by: Actor, out: DaysOut, now: datetime) -> int:
    row = ClosureRow(
        yard_id=out.yard_id,
        first_day=out.first_day,
        last_day=out.last_day,
        reason=out.reason,
        noted_by=by.account_id,
        noted_at=now,
    )
    session.add(row)
    session.flush()
    days = f"{out.first_day} to {out.last_day}"
    audit.record(session, by, now, "added", "closures", row.id, yard=out.yard_id, days=days)
    return row.id


def take_closure_away(db: Database, by: Actor, closure_id: int, now: datetime) -> int:
    """Take a closure away again; its id. Missing when there is none."""
    with db.writing(Lock.DIARY) as session:
        row = session.get(ClosureRow, closure_id)
        if row is None:
            raise Missing
        days = f"{row.first_day} to {row.last_day}"
        audit.record(session, by, now, "took away", "closures", row.id, yard=row.yard_id, days=days)
        session.delete(row)
        return closure_id
