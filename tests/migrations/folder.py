"""A copy of the shipped revisions with one more at the end, written by a test."""

from __future__ import annotations

import shutil
from pathlib import Path

from app.store import migrate

_REVISION = '''"""One more, for a test."""

import sqlalchemy as sa
from alembic import op

revision = "next"
down_revision = "{head}"
branch_labels = None
depends_on = None


def upgrade() -> None:
    {body}


def downgrade() -> None:
    pass
'''


def with_one_more(folder: Path, *statements: str) -> Path:
    """Copy the revisions into ``folder`` and add one that runs the Python ``statements``."""
    scripts = folder / "migrations"
    shutil.copytree(migrate.MIGRATIONS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    body = "\n    ".join(statements)
    text = _REVISION.format(head=migrate.head_revision(), body=body)
    (scripts / "versions" / "next.py").write_text(text, encoding="utf-8")
    return scripts
