"""The syllabus: what is ridden, how fast at least, and what can be seen in it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None
TABLES = (
    "syllabuses",
    "manoeuvres",
    "variants",
    "minimum_speeds",
    "fault_kinds",
    "manoeuvre_faults",
    "reference_items",
)


def upgrade() -> None:
    """Make the tables, each after those that it refers to."""
    _syllabuses()
    _manoeuvres()
    _variants()
    _minimum_speeds()
    _fault_kinds()
    _manoeuvre_faults()
    _reference_items()


def downgrade() -> None:
    """Drop them, the last made first."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _word(name: str, *words: str) -> sa.Enum:
    """One of a few words, which the database itself checks."""
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=24)


def _syllabuses() -> None:
    op.create_table(
        "syllabuses",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("code", sa.String, nullable=False, unique=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("caution", sa.String, nullable=False),
        sa.Column("pass_rule", sa.JSON, nullable=False),
        sa.Column("speed_rule", sa.JSON, nullable=False),
    )


def _manoeuvres() -> None:
    op.create_table(
        "manoeuvres",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("syllabus_id", sa.Integer, sa.ForeignKey("syllabuses.id"), nullable=False),
        sa.Column("code", sa.String, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("exercise", sa.Integer, nullable=False),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("minutes", sa.Double, nullable=False),
        sa.Column("speed_run", sa.Boolean, nullable=False),
        sa.Column("clean_looks_like", sa.String, nullable=False),
        sa.Column("coaching_points", sa.JSON, nullable=False),
        sa.Column("common_mistake", sa.String, nullable=False),
        sa.Column("cautions", sa.JSON, nullable=False),
        sa.Column("cone_colours", sa.JSON, nullable=False),
        sa.Column("not_after_failed", sa.String),
        sa.Column("retired", sa.Boolean, nullable=False),
        sa.UniqueConstraint("syllabus_id", "code"),
    )


def _variants() -> None:
    op.create_table(
        "variants",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("manoeuvre_id", sa.Integer, sa.ForeignKey("manoeuvres.id"), nullable=False),
        sa.Column("code", sa.String, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("retired", sa.Boolean, nullable=False),
        sa.UniqueConstraint("manoeuvre_id", "code"),
    )


def _minimum_speeds() -> None:
    op.create_table(
        "minimum_speeds",
        sa.Column("manoeuvre_id", sa.Integer, sa.ForeignKey("manoeuvres.id"), primary_key=True),
        sa.Column("category", _word("category", "AM", "A1", "A2", "A"), primary_key=True),
        sa.Column("kmh", sa.Numeric(4, 1, asdecimal=False), nullable=False),
    )


def _fault_kinds() -> None:
    op.create_table(
        "fault_kinds",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("code", sa.String, nullable=False, unique=True),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("sided", sa.Boolean, nullable=False),
        sa.Column("standing", sa.String, nullable=False),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("retired", sa.Boolean, nullable=False),
    )


def _manoeuvre_faults() -> None:
    op.create_table(
        "manoeuvre_faults",
        sa.Column("manoeuvre_id", sa.Integer, sa.ForeignKey("manoeuvres.id"), primary_key=True),
        sa.Column("fault_kind_id", sa.Integer, sa.ForeignKey("fault_kinds.id"), primary_key=True),
        sa.Column(
            "severity",
            _word("severity", "remark", "riding", "serious", "dangerous"),
            nullable=False,
        ),
        sa.Column("standing", sa.String, nullable=False),
        sa.Column("note", sa.String, nullable=False),
    )


def _reference_items() -> None:
    op.create_table(
        "reference_items",
        sa.Column("kind", sa.String, primary_key=True),
        sa.Column("code", sa.String, primary_key=True),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("shipped", sa.JSON, nullable=False),
    )
