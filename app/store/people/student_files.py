"""Students taken in from a file, and all of them written to one."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.people.alike import Known, Pair
from app.rules.people.student_file import (
    FileRow,
    StudentFile,
    field_words,
    write_students,
)
from app.rules.people.students import StudentFacts
from app.rules.refusal import Reason, Refused
from app.store import audit, settings
from app.store.database import Database, Lock
from app.store.once import once
from app.store.people.duplicates import MOST_ALIKE, already_words, everyone, newcomer
from app.store.people.reads import facts_of
from app.store.people.tables import StudentRow
from app.store.people.writing import as_written, sought


@dataclass(frozen=True, slots=True)
class JudgedRow:
    """One row of a file: the student as they would be kept, or every reason against it.

    ``alike`` says who looks like the same person, on file or earlier in the file.
    """

    line: int
    facts: StudentFacts
    reasons: tuple[str, ...]
    alike: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """The rows of a file: to be added, alike to somebody, and to be put right first."""

    good: tuple[JudgedRow, ...]
    alike: tuple[JudgedRow, ...]
    bad: tuple[JudgedRow, ...]


def judge(session: Session, file: StudentFile, today: date) -> Judged:
    """What taking a file in would do now. Two queries, whatever its length."""
    rows = tuple(_judged(session, file, today))
    return Judged(
        good=tuple(row for row in rows if not row.reasons and not row.alike),
        alike=tuple(row for row in rows if not row.reasons and row.alike),
        bad=tuple(row for row in rows if row.reasons),
    )


def _judged(session: Session, file: StudentFile, today: date) -> Iterator[JudgedRow]:
    region = settings.load(session).phone_region
    known = Known(everyone(session))
    for row in file.rows:
        judged = _written(row, region, today)
        if judged.reasons:
            yield judged
            continue
        # Those of the file have the number of their line below zero, those on file their id.
        person = newcomer(judged.facts, region, -row.line)
        found = known.like(person)[:MOST_ALIKE]
        known.add(person)
        yield replace(judged, alike=tuple(map(_alike_words, found)))


def _written(row: FileRow, region: str, today: date) -> JudgedRow:
    facts, reasons = row.facts, list(row.reasons)
    try:
        facts = as_written(facts, region, today)
    except Refused as refused:
        reasons += [field_words(reason) for reason in refused.reasons]
    return JudgedRow(row.line, facts, tuple(reasons), ())


def _alike_words(pair: Pair) -> str:
    if pair.one.id < 0:
        return f"Line {-pair.one.id} of this file, {pair.one.name}, has {pair.words}."
    return already_words(pair)


def take_in(
    db: Database,
    by: Actor,
    file: StudentFile,
    also: Collection[int],
    key: UUID,
    today: date,
    now: datetime,
) -> int:
    """Keep the students of a file in one transaction, once for one form; how many.

    Rows with something to put right are left out, and so are those that look like
    somebody who is here, unless their line is in ``also``. Raises Refused when no row is left.
    """
    with db.writing(Lock.DIARY) as session:

        def make() -> int:
            judged = judge(session, file, today)
            wanted = [*judged.good, *(row for row in judged.alike if row.line in also)]
            if not wanted:
                raise Refused(Reason("No student of this file can be added as it is."))
            _keep(session, by, sorted(wanted, key=lambda row: row.line), now)
            details = {"students": len(wanted), "left_out": len(file.rows) - len(wanted)}
            audit.record(session, by, now, "took in", "student_files", key, **details)
            return len(wanted)

        return once(session, key, now, make)


def _keep(session: Session, by: Actor, rows: Sequence[JudgedRow], now: datetime) -> None:
    region = settings.load(session).phone_region
    made = [
        StudentRow(
            **asdict(row.facts),
            sought=sought(row.facts.name, row.facts.phone, row.facts.email, region),
            created_at=now,
        )
        for row in rows
    ]
    session.add_all(made)
    session.flush()
    for row in made:
        audit.record(session, by, now, "added", "students", row.id)


def write_out(db: Database, by: Actor, now: datetime) -> str:
    """All students as the text of a file, by name; the audit keeps who asked for it."""
    with db.writing() as session:
        kept = StudentRow.merged_into_id.is_(None)
        order = (StudentRow.sought, StudentRow.id)
        rows = session.scalars(select(StudentRow).where(kept).order_by(*order)).all()
        day = now.date().isoformat()
        audit.record(session, by, now, "wrote out", "student_files", day, students=len(rows))
        return write_students(facts_of(row) for row in rows)
