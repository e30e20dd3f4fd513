"""What the whole house shares: settings, forms already sent, email owed, the audit."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
TABLES = ("settings", "submissions", "messages", "audit_entries")


def upgrade() -> None:
    """Make the tables, each after those that it refers to."""
    _settings()
    _submissions()
    _messages()
    _audit_entries()


def downgrade() -> None:
    """Drop them, the last made first."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _settings() -> None:
    op.create_table(
        "settings",
        sa.Column("key", sa.String, primary_key=True),
        sa.Column("value", sa.JSON, nullable=False),
    )


def _submissions() -> None:
    op.create_table(
        "submissions",
        sa.Column("key", sa.Uuid, primary_key=True),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("record_id", sa.Integer, nullable=False),
    )


def _messages() -> None:
    op.create_table(
        "messages",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("recipient", sa.String, nullable=False),
        sa.Column("subject", sa.String, nullable=False),
        sa.Column("body", sa.String, nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("sent_at", MOMENT),
        sa.Column("claimed_at", MOMENT),
        sa.Column("tries", sa.Integer, nullable=False),
        sa.Column("last_error", sa.String),
    )
    op.create_index("ix_messages_sent_at", "messages", ["sent_at"])


def _audit_entries() -> None:
    op.create_table(
        "audit_entries",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("origin", sa.String, nullable=False),
        sa.Column("action", sa.String, nullable=False),
        sa.Column("subject", sa.String, nullable=False),
        sa.Column("subject_id", sa.String, nullable=False),
        sa.Column("details", sa.JSON, nullable=False),
    )
    op.create_index("ix_audit_entries_account_id", "audit_entries", ["account_id"])
    op.create_index("ix_audit_entries_at", "audit_entries", ["at"])
    op.create_index(
        "ix_audit_entries_subject_subject_id", "audit_entries", ["subject", "subject_id"]
    )
