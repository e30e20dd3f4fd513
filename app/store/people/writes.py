"""Adding and changing students and instructors."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime
from uuid import UUID

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.people.names import tidy
from app.rules.people.students import StudentFacts, why_not_name
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit, settings
from app.store.database import Database, Lock
from app.store.once import once
from app.store.people.duplicates import ALIKE, MOST_ALIKE, already_words, like
from app.store.people.reads import facts_of, student_row
from app.store.people.tables import InstructorRow, StudentRow
from app.store.people.writing import as_written, sought
from app.store.stale import check_version


def add_student(
    db: Database,
    by: Actor,
    facts: StudentFacts,
    key: UUID,
    today: date,
    now: datetime,
    *,
    as_new: bool = False,
) -> int:
    """Keep a new student, once for one form; the id.

    Raises Refused with every reason against it, one of them that somebody on file looks
    like the same person, unless the desk has seen that and says that this one ``is new``.
    """
    with db.writing(Lock.DIARY) as session:
        region = settings.load(session).phone_region
        written = as_written(facts, region, today)

        def make() -> int:
            if not as_new:
                _check_new(session, written, region)
            return new_student(session, by, written, region, now)

        return once(session, key, now, make)


def _check_new(session: Session, facts: StudentFacts, region: str) -> None:
    if found := like(session, facts, region):
        raise Refused(*(Reason(already_words(pair), ALIKE) for pair in found[:MOST_ALIKE]))


def new_student(
    session: Session, by: Actor, facts: StudentFacts, region: str, now: datetime
) -> int:
    """Keep a student whose facts are in their written form, in the caller's transaction."""
    found_by = sought(facts.name, facts.phone, facts.email, region)
    row = StudentRow(**asdict(facts), sought=found_by, created_at=now)
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
    with db.writing(Lock.DIARY) as session:
        row = student_row(session, student_id)
        check_version(row.version, version)
        region = settings.load(session).phone_region
        change_student(session, by, row, as_written(facts, region, today, facts_of(row)), now)
        return row.id


def change_student(
    session: Session, by: Actor, row: StudentRow, facts: StudentFacts, now: datetime
) -> None:
    """Keep facts in their written form in a row, in the caller's transaction."""
    before, after = asdict(facts_of(row)), asdict(facts)
    changed = sorted(name for name in after if before[name] != after[name])
    if changed:
        for name in changed:
            setattr(row, name, after[name])
        region = settings.load(session).phone_region
        row.sought = sought(row.name, row.phone, row.email, region)
        row.version += 1
        audit.record(session, by, now, "changed", "students", row.id, fields=changed)


def add_instructor(db: Database, by: Actor, name: str, key: UUID, now: datetime) -> int:
    """Keep a new instructor, once for one form; the id."""
    name = tidy(name)
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
