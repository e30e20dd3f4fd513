"""Accounts: who can sign in, in which roles, and who is signed in."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
TABLES = (
    "accounts",
    "account_roles",
    "one_time_links",
    "sign_ins",
    "hand_over_codes",
    "code_tries",
    "tablet_turns",
)


def upgrade() -> None:
    """Make the tables, each after those that it refers to."""
    _accounts()
    _account_roles()
    _one_time_links()
    _sign_ins()
    _hand_over_codes()
    _code_tries()
    _tablet_turns()


def downgrade() -> None:
    """Drop them, the last made first."""
    for table in reversed(TABLES):
        op.drop_table(table)


def _word(name: str, *words: str) -> sa.Enum:
    """One of a few words, which the database itself checks."""
    return sa.Enum(*words, name=name, native_enum=False, create_constraint=True, length=24)


def _accounts() -> None:
    op.create_table(
        "accounts",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("email", sa.String, nullable=False, unique=True),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("password_hash", sa.String),
        sa.Column("active", sa.Boolean, nullable=False),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.CheckConstraint("email = lower(email)", name="email_lower"),
    )


def _account_roles() -> None:
    op.create_table(
        "account_roles",
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), primary_key=True),
        sa.Column(
            "role", _word("role", "desk", "instructor", "student", "owner"), primary_key=True
        ),
    )


def _one_time_links() -> None:
    op.create_table(
        "one_time_links",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), nullable=False),
        sa.Column("purpose", _word("link_purpose", "invitation", "reset"), nullable=False),
        sa.Column("nonce", sa.String, nullable=False, unique=True),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("expires_at", MOMENT, nullable=False),
        sa.Column("used_at", MOMENT),
        sa.Column("made_by", sa.Integer, sa.ForeignKey("accounts.id")),
    )
    op.create_index("ix_one_time_links_account_id", "one_time_links", ["account_id"])


def _sign_ins() -> None:
    op.create_table(
        "sign_ins",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), nullable=False),
        sa.Column("token_hash", sa.String, nullable=False, unique=True),
        sa.Column("began_at", MOMENT, nullable=False),
        sa.Column("expires_at", MOMENT, nullable=False),
        sa.Column("ended_at", MOMENT),
        sa.Column("origin", sa.String, nullable=False),
        sa.Column("at_tablet_id", sa.Integer, sa.ForeignKey("accounts.id")),
        sa.Column("seen_at", MOMENT),
        sa.Column("locked_at", MOMENT),
    )
    op.create_index("ix_sign_ins_account_id_ended_at", "sign_ins", ["account_id", "ended_at"])
    op.create_index("ix_sign_ins_at_tablet_id", "sign_ins", ["at_tablet_id"])


def _hand_over_codes() -> None:
    op.create_table(
        "hand_over_codes",
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), primary_key=True),
        sa.Column("code_hash", sa.String, nullable=False),
        sa.Column("set_at", MOMENT, nullable=False),
    )


def _code_tries() -> None:
    op.create_table(
        "code_tries",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), nullable=False),
        sa.Column("sign_in_id", sa.Integer, sa.ForeignKey("sign_ins.id"), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
    )
    op.create_index("ix_code_tries_account_id_at", "code_tries", ["account_id", "at"])
    op.create_index("ix_code_tries_sign_in_id_at", "code_tries", ["sign_in_id", "at"])


def _tablet_turns() -> None:
    op.create_table(
        "tablet_turns",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("sign_in_id", sa.Integer, sa.ForeignKey("sign_ins.id"), nullable=False),
        sa.Column("account_id", sa.Integer, sa.ForeignKey("accounts.id"), nullable=False),
        sa.Column("began_at", MOMENT, nullable=False),
    )
    op.create_index("ix_tablet_turns_sign_in_id", "tablet_turns", ["sign_in_id"])
