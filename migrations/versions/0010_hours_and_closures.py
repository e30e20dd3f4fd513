"""When the school is open, when instructors work, and what they may teach."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

TABLES = ("opening_hours", "closures", "instructor_hours", "days_off", "authorisations")


def upgrade() -> None:
    """Make the tables, and give instructors a version to edit from."""
    _opening_hours()
    _closures()
    _instructor_hours()
    _days_off()
    _authorisations()
    with op.batch_alter_table("instructors") as instructors:
        instructors.add_column(sa.Column("version", sa.Integer))
    op.execute("UPDATE instructors SET version = 1")
    with op.batch_alter_table("instructors") as instructors:
        instructors.alter_column("version", existing_type=sa.Integer, nullable=False)


def downgrade() -> None:
    """Drop them, the last made first."""
    with op.batch_alter_table("instructors") as instructors:
        instructors.drop_column("version")
    for table in reversed(TABLES):
        op.drop_table(table)


def _opening_hours() -> None:
    op.create_table(
        "opening_hours",
        sa.Column("weekday", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("opens", sa.Time, nullable=False),
        sa.Column("closes", sa.Time, nullable=False),
        sa.CheckConstraint("closes > opens", name="closes_after_it_opened"),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name="a_weekday"),
    )


def _closures() -> None:
    op.create_table(
        "closures",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("yard_id", sa.Integer, sa.ForeignKey("yards.id")),
        sa.Column("first_day", sa.Date, nullable=False),
        sa.Column("last_day", sa.Date, nullable=False),
        sa.Column("reason", sa.String, nullable=False),
        sa.Column("noted_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("last_day >= first_day", name="ends_not_before_it_began"),
    )
    op.create_index("ix_closures_first_day", "closures", ["first_day"])


def _instructor_hours() -> None:
    op.create_table(
        "instructor_hours",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("instructor_id", sa.Integer, sa.ForeignKey("instructors.id"), nullable=False),
        sa.Column("weekday", sa.Integer, nullable=False),
        sa.Column("begins", sa.Time, nullable=False),
        sa.Column("ends", sa.Time, nullable=False),
        sa.CheckConstraint("ends > begins", name="ends_after_it_began"),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name="a_weekday"),
        sa.UniqueConstraint("instructor_id", "weekday", "begins"),
    )


def _days_off() -> None:
    op.create_table(
        "days_off",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("instructor_id", sa.Integer, sa.ForeignKey("instructors.id"), nullable=False),
        sa.Column("first_day", sa.Date, nullable=False),
        sa.Column("last_day", sa.Date, nullable=False),
        sa.Column("reason", sa.String, nullable=False),
        sa.Column("noted_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("last_day >= first_day", name="ends_not_before_it_began"),
    )
    op.create_index(
        "ix_days_off_instructor_id_first_day", "days_off", ["instructor_id", "first_day"]
    )


def _authorisations() -> None:
    kinds = sa.Enum(
        "cbt", "direct_access",
        name="authorisation", native_enum=False, create_constraint=True, length=24,
    )  # fmt: skip
    op.create_table(
        "authorisations",
        sa.Column("instructor_id", sa.Integer, sa.ForeignKey("instructors.id"), primary_key=True),
        sa.Column("kind", kinds, primary_key=True),
        sa.Column("expires_on", sa.Date),
    )
