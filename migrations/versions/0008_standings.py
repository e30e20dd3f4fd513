"""What the engine knows now, of a student and of each way of riding."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
TABLES = ("learners", "standings", "given_chances", "school_figures")


def upgrade() -> None:
    """Make the tables, each after those that it refers to."""
    _learners()
    _standings()
    _given_chances()
    _school_figures()


def downgrade() -> None:
    """Drop them, the last made first."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _learners() -> None:
    op.create_table(
        "learners",
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), primary_key=True),
        sa.Column("last_ridden_at", MOMENT),
        sa.Column("rough_chance", sa.Double, nullable=False),
        sa.Column("level", sa.Double, nullable=False),
        sa.Column("level_variance", sa.Double, nullable=False),
        sa.Column("form", sa.Double, nullable=False),
        sa.Column("form_variance", sa.Double, nullable=False),
        sa.Column("state", sa.JSON, nullable=False),
    )
    op.create_index("ix_learners_last_ridden_at", "learners", ["last_ridden_at"])
    op.create_index("ix_learners_rough_chance", "learners", ["rough_chance"])


def _standings() -> None:
    op.create_table(
        "standings",
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), primary_key=True),
        sa.Column("variant_id", sa.Integer, sa.ForeignKey("variants.id"), primary_key=True),
        sa.Column("rides", sa.Integer, nullable=False),
        sa.Column("clean_rides", sa.Integer, nullable=False),
        sa.Column("run", sa.Integer, nullable=False),
        sa.Column("run_over", sa.Integer, nullable=False),
        sa.Column("serious", sa.Integer, nullable=False),
        sa.Column("again", sa.Integer, nullable=False),
        sa.Column("riding", sa.Integer, nullable=False),
        sa.Column("own", sa.Double, nullable=False),
        sa.Column("own_variance", sa.Double, nullable=False),
        sa.Column("last_ridden_at", MOMENT),
        sa.Column("state", sa.JSON, nullable=False),
    )
    op.create_index(
        "ix_standings_variant_id_serious_again_riding",
        "standings",
        ["variant_id", "serious", "again", "riding"],
    )


def _given_chances() -> None:
    op.create_table(
        "given_chances",
        sa.Column(
            "appointment_id", sa.Integer, sa.ForeignKey("test_appointments.id"), primary_key=True
        ),
        sa.Column("chance", sa.Double, nullable=False),
        sa.Column("passed", sa.Boolean, nullable=False),
    )


def _school_figures() -> None:
    op.create_table(
        "school_figures",
        sa.Column("variant_id", sa.Integer, sa.ForeignKey("variants.id"), primary_key=True),
        sa.Column("ease", sa.Double, nullable=False),
        sa.Column("practice", sa.Double, nullable=False),
        sa.Column("rides", sa.Integer, nullable=False),
        sa.Column("students", sa.Integer, nullable=False),
        sa.Column("estimated_at", MOMENT, nullable=False),
    )
