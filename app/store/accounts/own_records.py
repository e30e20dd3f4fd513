"""The records that an account opens: the student or the instructor whose account it is.

Those tables belong to the people room, which stands to the right of this one
and knows it. So they are named here as the database names them, with only the
columns that lead from an account to its record and back.
"""

from __future__ import annotations

from sqlalchemy import column, select, table
from sqlalchemy.orm import Session

STUDENTS = table(
    "students",
    column("id"),
    column("account_id"),
    column("name"),
    column("email"),
    column("merged_into_id"),
)
INSTRUCTORS = table(
    "instructors",
    column("id"),
    column("account_id"),
    column("name"),
    column("active"),
    column("version"),
)


def student_of(session: Session, account_id: int) -> int | None:
    """The student whose account it is; None when it is no student's. One query."""
    return session.scalar(select(STUDENTS.c.id).where(STUDENTS.c.account_id == account_id))
