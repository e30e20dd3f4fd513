"""Students and instructors, as the desk's screens show them."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, func, select
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
    """Those whose name, phone or email has what was typed; everyone for nothing. Two queries."""
    found = [_has(piece) for piece in wanted(typed)]
    total = session.scalar(select(func.count()).select_from(StudentRow).where(*found)) or 0
    pages = max(1, -(-total // PAGE))
    page = min(max(page, 1), pages)
    rows = session.scalars(
        select(StudentRow)
        .where(*found)
        .order_by(StudentRow.sought, StudentRow.id)
        .limit(PAGE)
        .offset((page - 1) * PAGE)
    )
    return StudentsPage(tuple(_line(row) for row in rows), total, page, pages)


def _has(piece: str) -> ColumnElement[bool]:
    return StudentRow.sought.contains(piece, autoescape=True)


def _line(row: StudentRow) -> StudentLine:
    return StudentLine(row.id, row.name, row.category, row.phone, row.email)


def student(session: Session, student_id: int) -> StudentRecord:
    """One student's record; Missing when there is none."""
    row = session.get(StudentRow, student_id)
    if row is None:
        raise Missing
    return StudentRecord(row.id, row.version, facts_of(row), row.account_id is not None)


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
