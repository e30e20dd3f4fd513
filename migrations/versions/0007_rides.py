"""The rides, and the faults seen in them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
TABLES = (
    "pending_strikes",
    "incidents",
    "mock_tests",
    "attempts",
    "attempt_faults",
    "safety_checks",
    "mock_test_lines",
)


def upgrade() -> None:
    """Make the tables, each after those that it refers to."""
    _pending_strikes()
    _incidents()
    _mock_tests()
    _attempts()
    _attempt_faults()
    _safety_checks()
    _mock_test_lines()


def downgrade() -> None:
    """Drop them, the last made first."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _word(name: str, *words: str) -> sa.Enum:
    """One of a few words, which the database itself checks."""
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=24)


def _pending_strikes() -> None:
    op.create_table(
        "pending_strikes",
        sa.Column("ride_id", sa.Uuid, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), primary_key=True),
        sa.Column("reason", sa.String, nullable=False),
        sa.Column("received_at", MOMENT, nullable=False),
    )


def _incidents() -> None:
    op.create_table(
        "incidents",
        sa.Column("id", sa.Uuid, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("training_sessions.id"), nullable=False),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id")),
        sa.Column("bike_id", sa.Integer, sa.ForeignKey("bikes.id")),
        sa.Column("kind", _word("incident_kind", "near_miss", "fall", "injury"), nullable=False),
        sa.Column("note", sa.String, nullable=False),
        sa.Column("happened_at", MOMENT, nullable=False),
        sa.Column("received_at", MOMENT, nullable=False),
        sa.Column("recorded_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("closed_at", MOMENT),
        sa.Column("closed_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.CheckConstraint("closed_at IS NOT NULL OR closed_by IS NULL", name="closed_has_time"),
    )
    op.create_index("ix_incidents_closed_at", "incidents", ["closed_at"])
    op.create_index("ix_incidents_session_id", "incidents", ["session_id"])
    op.create_index("ix_incidents_student_id", "incidents", ["student_id"])


def _mock_tests() -> None:
    op.create_table(
        "mock_tests",
        sa.Column("id", sa.Uuid, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("training_sessions.id"), nullable=False),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), nullable=False),
        sa.Column("recorded_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("side", _word("side", "left", "right")),
        sa.Column("started_at", MOMENT, nullable=False),
        sa.Column("ended_at", MOMENT),
        sa.Column("stopped_reason", sa.String),
        sa.CheckConstraint(
            "stopped_reason IS NULL OR ended_at IS NOT NULL", name="stopped_has_ended"
        ),
    )
    op.create_index("ix_mock_tests_session_id", "mock_tests", ["session_id"])
    op.create_index(
        "ix_mock_tests_student_id_started_at", "mock_tests", ["student_id", "started_at"]
    )


def _attempts() -> None:
    op.create_table(
        "attempts",
        sa.Column("id", sa.Uuid, primary_key=True),
        sa.Column("session_id", sa.Integer, sa.ForeignKey("training_sessions.id"), nullable=False),
        sa.Column("student_id", sa.Integer, sa.ForeignKey("students.id"), nullable=False),
        sa.Column("variant_id", sa.Integer, sa.ForeignKey("variants.id"), nullable=False),
        sa.Column("bike_id", sa.Integer, sa.ForeignKey("bikes.id")),
        sa.Column("recorded_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("ridden_at", MOMENT, nullable=False),
        sa.Column("received_at", MOMENT, nullable=False),
        sa.Column(
            "outcome",
            _word("outcome", "clean", "riding", "serious", "dangerous", "ride_again", "unmeasured"),
            nullable=False,
        ),
        sa.Column(
            "speed_result",
            _word(
                "speed_result",
                "no_minimum",
                "met",
                "riding_fault",
                "ride_again",
                "serious",
                "not_measured",
            ),
            nullable=False,
        ),
        sa.Column("speed_kmh", sa.Numeric(4, 1, asdecimal=False)),
        sa.Column("speed_source", _word("speed_source", "gate", "radar", "dial")),
        sa.Column("second_try", sa.Boolean, nullable=False),
        sa.Column("struck_at", MOMENT),
        sa.Column("struck_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("struck_reason", sa.String),
        sa.Column("mock_test_id", sa.Uuid, sa.ForeignKey("mock_tests.id")),
        sa.Column("tablet", sa.Uuid),
        sa.Column("tablet_seq", sa.Integer),
        sa.Column("skew_seconds", sa.Integer, nullable=False),
        sa.CheckConstraint("(speed_kmh IS NULL) = (speed_source IS NULL)", name="speed_has_source"),
        sa.CheckConstraint(
            "speed_kmh IS NULL OR speed_kmh BETWEEN 0 AND 150", name="speed_possible"
        ),
        sa.CheckConstraint(
            "(struck_at IS NULL) = (struck_reason IS NULL)", name="struck_out_has_reason"
        ),
    )
    op.create_index("ix_attempts_mock_test_id", "attempts", ["mock_test_id"])
    op.create_index("ix_attempts_session_id_student_id", "attempts", ["session_id", "student_id"])
    op.create_index("ix_attempts_student_id_ridden_at", "attempts", ["student_id", "ridden_at"])
    op.create_index(
        "ix_attempts_student_id_variant_id_ridden_at",
        "attempts",
        ["student_id", "variant_id", "ridden_at"],
    )
    op.create_index("ix_attempts_tablet_tablet_seq", "attempts", ["tablet", "tablet_seq"])
    op.create_index("ix_attempts_variant_id", "attempts", ["variant_id"])


def _attempt_faults() -> None:
    op.create_table(
        "attempt_faults",
        sa.Column("attempt_id", sa.Uuid, sa.ForeignKey("attempts.id"), primary_key=True),
        sa.Column("place", sa.Integer, primary_key=True),
        sa.Column("fault_kind_id", sa.Integer, sa.ForeignKey("fault_kinds.id"), nullable=False),
        sa.Column(
            "severity",
            _word("severity", "remark", "riding", "serious", "dangerous"),
            nullable=False,
        ),
        sa.Column("side", _word("side", "left", "right")),
    )
    op.create_index("ix_attempt_faults_fault_kind_id", "attempt_faults", ["fault_kind_id"])


def _safety_checks() -> None:
    op.create_table(
        "safety_checks",
        sa.Column(
            "session_id", sa.Integer, sa.ForeignKey("training_sessions.id"), primary_key=True
        ),
        sa.Column("confirmed_by", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("confirmed_at", MOMENT, nullable=False),
        sa.Column("checks", sa.JSON, nullable=False),
    )


def _mock_test_lines() -> None:
    op.create_table(
        "mock_test_lines",
        sa.Column("mock_test_id", sa.Uuid, sa.ForeignKey("mock_tests.id"), primary_key=True),
        sa.Column("place", sa.Integer, primary_key=True),
        sa.Column("variant_id", sa.Integer, sa.ForeignKey("variants.id"), nullable=False),
        sa.Column("left_out", sa.String),
    )
