"""Students and instructors, as the desk's screens show them."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, case, false, func, select
from sqlalchemy.orm import Session

from app.rules.categories import Category
from app.rules.people.seeking import wanted
from app.rules.people.students import StudentFacts
from app.rules.refusal import Missing
from app.store.people.tables import InstructorRow, StudentRow

PAGE = 50


@dataclass(frozen=True, slots=True)
class StudentLine:
    """One student in a list."""

    id: int
    name: str
    category: Category
    phone: str | None
    email: str | None


@dataclass(frozen=True, slots=True)
class StudentsPage:
    """One page of students by name. ``total`` counts all that were found; pages count from 1."""

    students: tuple[StudentLine, ...]
    total: int
    page: int
    pages: int


@dataclass(frozen=True, slots=True)
class StudentRecord:
    """All that is written down about one student, with the version that an edit starts from."""

    id: int
    version: int
    facts: StudentFacts
    has_account: bool


@dataclass(frozen=True, slots=True)
class Instructor:
    """One instructor in a list."""

    id: int
    name: str
    active: bool
    has_account: bool


def students(session: Session, typed: str = "", page: int = 1) -> StudentsPage:
    """Those whose name, phone or email has what was typed; everyone for nothing. Two queries.

    First those whose name begins with it, then those in whose name a later word does.
    What was typed may stand anywhere in a record, so this looks through all of them, with
    no index; at 10,000 students a search stays within some ten times a bare scan of the
    table, which tests/store/people/test_finding.py measures.
    """
    pieces = wanted(typed)
    found = [StudentRow.merged_into_id.is_(None), *(_has(piece) for piece in pieces)]
    if typed.strip() and not pieces:
        found.append(false())
    total = session.scalar(select(func.count()).select_from(StudentRow).where(*found)) or 0
    pages = max(1, -(-total // PAGE))
    page = min(max(page, 1), pages)
    rows = session.scalars(
        select(StudentRow)
        .where(*found)
        .order_by(*_nearest(pieces), StudentRow.sought, StudentRow.id)
        .limit(PAGE)
        .offset((page - 1) * PAGE)
    )
    return StudentsPage(tuple(_line(row) for row in rows), total, page, pages)


def _has(piece: str) -> ColumnElement[bool]:
    return StudentRow.sought.contains(piece, autoescape=True)


def _nearest(pieces: tuple[str, ...]) -> list[ColumnElement[int]]:
    if not pieces:
        return []
    begins = StudentRow.sought.startswith(pieces[0], autoescape=True)
    return [case((begins, 0), (_has(f" {pieces[0]}"), 1), else_=2)]


def _line(row: StudentRow) -> StudentLine:
    return StudentLine(row.id, row.name, row.category, row.phone, row.email)


def student(session: Session, student_id: int) -> StudentRecord:
    """One student's record; Missing when there is none."""
    row = student_row(session, student_id)
    return StudentRecord(row.id, row.version, facts_of(row), row.account_id is not None)


def student_row(session: Session, student_id: int) -> StudentRow:
    """A student's row, for the store alone; Missing when there is none or it was merged away."""
    row = session.get(StudentRow, student_id)
    if row is None or row.merged_into_id is not None:
        raise Missing
    return row


def kept_instead(session: Session, student_id: int) -> int | None:
    """The record that another was merged into; None when it was not. One query."""
    return session.scalar(select(StudentRow.merged_into_id).where(StudentRow.id == student_id))


def facts_of(row: StudentRow) -> StudentFacts:
    """The facts in a row, for rules and screens."""
    return StudentFacts(
        name=row.name,
        category=row.category,
        phone=row.phone,
        email=row.email,
        date_of_birth=row.date_of_birth,
        emergency_name=row.emergency_name,
        emergency_phone=row.emergency_phone,
        guardian_name=row.guardian_name,
        guardian_phone=row.guardian_phone,
        notes=row.notes,
    )


def instructors(session: Session) -> tuple[Instructor, ...]:
    """Everyone who teaches or taught here: those who do now first, then by name."""
    rows = session.scalars(
        select(InstructorRow).order_by(InstructorRow.active.desc(), InstructorRow.name)
    )
    return tuple(
        Instructor(row.id, row.name, row.active, row.account_id is not None) for row in rows
    )
