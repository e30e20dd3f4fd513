"""Changing an instructor's hours, days off and authorisations.

Sessions that stand already stay as they are; the pages say which are concerned.
"""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

from sqlalchemy import delete
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.people.authorisations import InstructorFacts, why_not_instructor
from app.rules.people.days import DaysOut
from app.rules.people.days_out import why_not_out
from app.rules.refusal import Missing, Refused
from app.store import audit
from app.store.database import Database, Lock
from app.store.once import once
from app.store.people.instructor_reads import instructor_facts, instructor_row
from app.store.people.tables import (
    AuthorisationRow,
    DayOffRow,
    InstructorHoursRow,
    InstructorRow,
)
from app.store.stale import check_version


def edit_instructor(
    db: Database,
    by: Actor,
    instructor_id: int,
    version: int,
    facts: InstructorFacts,
    today: date,
    now: datetime,
) -> int:
    """Keep an instructor's record as changed; the id.

    Raises Missing for an unknown one, and Refused with every reason or when somebody was quicker.
    """
    if reasons := why_not_instructor(facts, today):
        raise Refused(*reasons)
    with db.writing(Lock.DIARY) as session:
        row = instructor_row(session, instructor_id)
        check_version(row.version, version)
        before = instructor_facts(session, row)
        changed = _changed(before, facts)
        if changed:
            row.name = facts.name
            _keep(session, row, facts)
            row.version += 1
            audit.record(
                session, by, now, "changed", "instructors", row.id, changed=", ".join(changed)
            )
        return row.id


def _changed(before: InstructorFacts, after: InstructorFacts) -> list[str]:
    pairs = {
        "authorisations": (dict(before.authorisations), dict(after.authorisations)),
        "hours": (before.hours, after.hours),
        "name": (before.name, after.name),
    }
    return [name for name, (was, now_is) in pairs.items() if was != now_is]


def _keep(session: Session, row: InstructorRow, facts: InstructorFacts) -> None:
    session.execute(delete(InstructorHoursRow).where(InstructorHoursRow.instructor_id == row.id))
    session.execute(delete(AuthorisationRow).where(AuthorisationRow.instructor_id == row.id))
    session.expire_all()
    session.add_all(
        InstructorHoursRow(
            instructor_id=row.id, weekday=each.weekday, begins=each.begins, ends=each.ends
        )
        for each in facts.hours
    )
    session.add_all(
        AuthorisationRow(instructor_id=row.id, kind=kind, expires_on=ends)
        for kind, ends in facts.authorisations.items()
    )


def add_days_off(
    db: Database,
    by: Actor,
    instructor_id: int,
    out: DaysOut,
    key: UUID,
    today: date,
    now: datetime,
) -> int:
    """Write an instructor's days off down, once for one form; the id.

    Raises Missing for an unknown instructor, Refused with every reason against the days.
    """
    if reasons := why_not_out(out, today, needs_reason=False):
        raise Refused(*reasons)
    with db.writing(Lock.DIARY) as session:
        return once(session, key, now, lambda: days_off_in(session, by, instructor_id, out, now))


def days_off_in(
    session: Session, by: Actor, instructor_id: int, out: DaysOut, now: datetime
) -> int:
    """Write days off down in the caller's transaction; the id. Missing for no such instructor."""
    row = DayOffRow(
        instructor_id=instructor_row(session, instructor_id).id,
        first_day=out.first_day,
        last_day=out.last_day,
        reason=out.reason,
        noted_by=by.account_id,
        noted_at=now,
    )
    session.add(row)
    session.flush()
    # Why somebody is away stays out of the audit, which is never changed.
    days = f"{out.first_day} to {out.last_day}"
    audit.record(session, by, now, "added", "days_off", row.id, instructor=instructor_id, days=days)
    return row.id


def take_days_off_away(db: Database, by: Actor, day_off_id: int, now: datetime) -> int:
    """Take days off away again; the instructor's id. Missing when there are none."""
    with db.writing(Lock.DIARY) as session:
        row = session.get(DayOffRow, day_off_id)
        if row is None:
            raise Missing
        instructor_id, days = row.instructor_id, f"{row.first_day} to {row.last_day}"
        session.delete(row)
        audit.record(
            session, by, now, "took away", "days_off", day_off_id,
            instructor=instructor_id, days=days,
        )  # fmt: skip
        return instructor_id
