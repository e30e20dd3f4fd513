"""Kept for good: the audit only grows, and a ride is struck out rather than deleted."""

from __future__ import annotations

from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

RULES = (
    ("audit_entries", "UPDATE", "an audit entry is never changed"),
    ("audit_entries", "DELETE", "an audit entry is never deleted"),
    ("attempts", "DELETE", "a ride is never deleted, only struck out"),
)


def _name(table: str, verb: str) -> str:
    return f"{table}_no_{verb.lower()}"


def upgrade() -> None:
    """Have the database itself refuse."""
    for table, verb, sentence in RULES:
        if op.get_bind().dialect.name == "sqlite":
            op.execute(
                f"CREATE TRIGGER {_name(table, verb)} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
            )
        else:
            op.execute(
                f"CREATE FUNCTION {_name(table, verb)}() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN RAISE EXCEPTION '{sentence}'; END $$"
            )
            op.execute(
                f"CREATE TRIGGER {_name(table, verb)} BEFORE {verb} ON {table} "
                f"FOR EACH ROW EXECUTE FUNCTION {_name(table, verb)}()"
            )


def downgrade() -> None:
    """Take the refusals away."""
    for table, verb, _sentence in RULES:
        if op.get_bind().dialect.name == "sqlite":
            op.execute(f"DROP TRIGGER {_name(table, verb)}")
        else:
            op.execute(f"DROP TRIGGER {_name(table, verb)} ON {table}")
            op.execute(f"DROP FUNCTION {_name(table, verb)}()")
