"""The diary: training sessions, the places booked in them, and the real tests."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
TABLES = ("training_sessions", "bookings", "test_appointments")


def upgrade() -> None:
    """Make the tables, each after those that it refers to."""
    _training_sessions()
    _bookings()
    _test_appointments()


def downgrade() -> None:
    """Drop them, the last made first."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _word(name: str, *words: str) -> sa.Enum:
    """One of a few words, which the database itself checks."""
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=24)


def _training_sessions() -> None:
    op.create_table(
        "training_sessions",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("yard_id", sa.Integer, sa.ForeignKey("yards.id"), nullable=False),
        sa.Column("instructor_id", sa.Integer, sa.ForeignKey("instructors.id"), nullable=False),
        sa.Column(
            "kind",
            _word("session_kind", "module_1", "cbt", "first_ride", "mock_test"),
            nullable=False,
        ),
        sa.Column("starts_at", MOMENT, nullable=False),
        sa.Column("ends_at", MOMENT, nullable=False),
        sa.Column("places", sa.Integer, nullable=False),
        sa.Column("surface", _word("surface", "dry", "damp", "wet")),
        sa.Column("windy", sa.Boolean),
        sa.Column("surface_remark", sa.String, nullable=False),
        sa.Column("remarks", sa.String, nullable=False),
        sa.Column("cancelled_at", MOMENT),
        sa.Column("cancelled_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("version", sa.Integer, nullable=False),
        sa.CheckConstraint("ends_at > starts_at", name="ends_after_it_began"),
        sa.CheckConstraint("places > 0", name="has_places"),
    )
    op.create_index(
        "ix_training_sessions_instructor_id_starts_at",
        "training_sessions",
        ["instructor_id", "starts_at"],
    )
    op.create_index("ix_training_sessions_starts_at", "training_sessions", ["starts_at"])
    op.create_index(
        "ix_training_sessions_yard_id_starts_at", "training_sessions", ["yard_id", "starts_at"]
    )


def _bookings() -> None:
    op.create_table(
        "bookings",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("training_sessions.id"), nullable=False),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), nullable=False),
        sa.Column("bike_id", sa.Integer, sa.ForeignKey("bikes.id")),
        sa.Column(
            "state",
            _word("booking_state", "booked", "attended", "no_show", "cancelled"),
            nullable=False,
        ),
        sa.Column("booked_at", MOMENT, nullable=False),
        sa.Column("booked_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("cancelled_at", MOMENT),
        sa.Column("cancelled_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("late", sa.Boolean, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.CheckConstraint(
            "(state = 'cancelled') = (cancelled_at IS NOT NULL)", name="cancelled_has_time"
        ),
    )
    op.create_index("ix_bookings_bike_id", "bookings", ["bike_id"])
    op.create_index("ix_bookings_session_id", "bookings", ["session_id"])
    op.create_index("ix_bookings_student_id", "bookings", ["student_id"])
    held = sa.text("state IN ('booked', 'attended')")
    op.create_index(
        "uq_bookings_bike_held",
        "bookings",
        ["session_id", "bike_id"],
        unique=True,
        sqlite_where=held,
        postgresql_where=held,
    )
    op.create_index(
        "uq_bookings_student_held",
        "bookings",
        ["session_id", "student_id"],
        unique=True,
        sqlite_where=held,
        postgresql_where=held,
    )


def _test_appointments() -> None:
    op.create_table(
        "test_appointments",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), nullable=False),
        sa.Column("module", _word("test_module", "module_1", "module_2"), nullable=False),
        sa.Column("centre", sa.String, nullable=False),
        sa.Column("starts_at", MOMENT, nullable=False),
        sa.Column("bike_id", sa.Integer, sa.ForeignKey("bikes.id")),
        sa.Column("result", _word("test_result", "pass", "fail")),
    )
    op.create_index("ix_test_appointments_starts_at", "test_appointments", ["starts_at"])
    op.create_index("ix_test_appointments_student_id", "test_appointments", ["student_id"])
