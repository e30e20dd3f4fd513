"""Students, instructors, and the papers that the desk has seen."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
TABLES = ("students", "instructors", "papers")


def upgrade() -> None:
    """Make the tables, each after those that it refers to."""
    _students()
    _instructors()
    _papers()


def downgrade() -> None:
    """Drop them, the last made first."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _word(name: str, *words: str) -> sa.Enum:
    """One of a few words, which the database itself checks."""
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=24)


def _students() -> None:
    op.create_table(
        "students",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), unique=True),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("phone", sa.String),
        sa.Column("email", sa.String),
        sa.Column("date_of_birth", sa.Date),
        sa.Column("category", _word("category", "AM", "A1", "A2", "A"), nullable=False),
        sa.Column("emergency_name", sa.String),
        sa.Column("emergency_phone", sa.String),
        sa.Column("guardian_name", sa.String),
        sa.Column("guardian_phone", sa.String),
        sa.Column("notes", sa.String, nullable=False),
        sa.Column("sought", sa.String, nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.CheckConstraint("trim(name) <> ''", name="name_given"),
    )
    op.create_index("ix_students_name", "students", ["name"])


def _instructors() -> None:
    op.create_table(
        "instructors",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), unique=True),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("active", sa.Boolean, nullable=False),
    )


def _papers() -> None:
    op.create_table(
        "papers",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), nullable=False),
        sa.Column(
            "kind", _word("paper_kind", "provisional", "cbt", "theory", "module_1"), nullable=False
        ),
        sa.Column("issued_on", sa.Date, nullable=False),
        sa.Column("expires_on", sa.Date),
        sa.Column("checked_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("checked_at", MOMENT, nullable=False),
        sa.CheckConstraint(
            "expires_on IS NULL OR expires_on > issued_on", name="ends_after_it_began"
        ),
    )
    op.create_index("ix_papers_student_id", "papers", ["student_id"])
