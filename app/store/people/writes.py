"""Adding and changing students and instructors."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime
from uuid import UUID

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.people.seeking import sought
from app.rules.people.students import StudentFacts, why_not_keep, why_not_name
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit
from app.store.database import Database, Lock
from app.store.once import once
from app.store.people.reads import facts_of
from app.store.people.tables import InstructorRow, StudentRow
from app.store.stale import check_version


def add_student(
    db: Database, by: Actor, facts: StudentFacts, key: UUID, today: date, now: datetime
) -> int:
    """Keep a new student, once for one form; the id. Refused with every reason against it."""
    _check(facts, today)
    with db.writing(Lock.DIARY) as session:
        return once(session, key, now, lambda: _new_student(session, by, facts, now))


def _check(facts: StudentFacts, today: date) -> None:
    if reasons := why_not_keep(facts, today):
        raise Refused(*reasons)


def _new_student(session: Session, by: Actor, facts: StudentFacts, now: datetime) -> int:
    row = StudentRow(**asdict(facts), created_at=now)
    session.add(row)
    session.flush()
    audit.record(session, by, now, "added", "students", row.id)
    return row.id


def edit_student(
    db: Database,
    by: Actor,
    student_id: int,
    version: int,
    facts: StudentFacts,
    today: date,
    now: datetime,
) -> int:
    """Keep a student's record as changed; the id.

    The audit names the fields that changed, not what they held. Raises Missing
    for an unknown student, and Refused when somebody was quicker.
    """
    _check(facts, today)
    with db.writing(Lock.DIARY) as session:
        row = session.get(StudentRow, student_id)
        if row is None:
            raise Missing
        check_version(row.version, version)
        before, after = asdict(facts_of(row)), asdict(facts)
        changed = sorted(name for name in after if before[name] != after[name])
        if changed:
            for name in changed:
                setattr(row, name, after[name])
            row.sought = sought(row.name, row.phone, row.email)
            row.version += 1
            audit.record(session, by, now, "changed", "students", row.id, fields=changed)
        return row.id


def add_instructor(db: Database, by: Actor, name: str, key: UUID, now: datetime) -> int:
    """Keep a new instructor, once for one form; the id."""
    if sentence := why_not_name(name):
        raise Refused(Reason(sentence, "name"))
    with db.writing(Lock.DIARY) as session:
        return once(session, key, now, lambda: _new_instructor(session, by, name, now))


def _new_instructor(session: Session, by: Actor, name: str, now: datetime) -> int:
    row = InstructorRow(name=name)
    session.add(row)
    session.flush()
    audit.record(session, by, now, "added", "instructors", row.id)
    return row.id


def set_teaching(
    db: Database, by: Actor, instructor_id: int, now: datetime, *, active: bool
) -> int:
    """Say whether an instructor teaches here now; the id. Their sessions stay as they are."""
    with db.writing(Lock.DIARY) as session:
        row = session.get(InstructorRow, instructor_id)
        if row is None:
            raise Missing
        if row.active != active:
            row.active = active
            word = "began teaching" if active else "stopped teaching"
            audit.record(session, by, now, word, "instructors", row.id)
        return row.id
