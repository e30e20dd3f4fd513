"""Yards and bikes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
TABLES = ("yards", "bikes")


def upgrade() -> None:
    """Make the tables, each after those that it refers to."""
    _yards()
    _bikes()


def downgrade() -> None:
    """Drop them, the last made first."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _word(name: str, *words: str) -> sa.Enum:
    """One of a few words, which the database itself checks."""
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=24)


def _yards() -> None:
    op.create_table(
        "yards",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String, nullable=False, unique=True),
        sa.Column("length_m", sa.Numeric(6, 1, asdecimal=False), nullable=False),
        sa.Column("width_m", sa.Numeric(6, 1, asdecimal=False), nullable=False),
        sa.Column("places", sa.Integer, nullable=False),
        sa.Column("speed_run", sa.Boolean, nullable=False),
        sa.Column("avoidance_left", sa.Boolean, nullable=False),
        sa.Column("avoidance_right", sa.Boolean, nullable=False),
        sa.Column("remarks", sa.String, nullable=False),
        sa.Column("open", sa.Boolean, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.CheckConstraint("places > 0", name="has_places"),
        sa.CheckConstraint("length_m > 0 AND width_m > 0", name="has_size"),
    )


def _bikes() -> None:
    op.create_table(
        "bikes",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("label", sa.String, nullable=False, unique=True),
        sa.Column("registration", sa.String, nullable=False, unique=True),
        sa.Column("category", _word("category", "AM", "A1", "A2", "A"), nullable=False),
        sa.Column("capacity_cc", sa.Integer, nullable=False),
        sa.Column("power_kw", sa.Numeric(5, 1, asdecimal=False), nullable=False),
        sa.Column("kerb_kg", sa.Integer, nullable=False),
        sa.Column("off_road_since", MOMENT),
        sa.Column("off_road_reason", sa.String),
        sa.Column("reported_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("version", sa.Integer, nullable=False),
        sa.CheckConstraint("capacity_cc > 0 AND power_kw > 0 AND kerb_kg > 0", name="has_figures"),
        sa.CheckConstraint(
            "(off_road_since IS NULL) = (off_road_reason IS NULL)", name="off_road_has_reason"
        ),
    )
