"""The records that an account opens: the student or the instructor whose account it is.

Those tables belong to the people room, which stands to the right of this one
and knows it. So they are named here as the database names them, with only the
columns that lead from an account to its record and back.
"""

from __future__ import annotations

from sqlalchemy import column, table

STUDENTS = table("students", column("id"), column("account_id"), column("name"), column("email"))
INSTRUCTORS = table(
    "instructors", column("id"), column("account_id"), column("name"), column("active")
)
