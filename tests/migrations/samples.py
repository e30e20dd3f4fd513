"""Old rows: for each revision, rows as a school might have kept them at that revision.

Whoever adds a revision adds ``rows/<revision>.sql``; a test fails until it is there.
The rows go in right after the revision has run, as plain SQL with fixed values that
both databases read, and must be found unchanged after every later step, up or down.
A file is never edited to suit a later revision, since the rows out there will not
be: a revision that changes what a column holds says so in CHANGED.
"""

from __future__ import annotations

from pathlib import Path

from app.store import migrate
from tests.migrations.use import opened

ROWS = Path(__file__).parent / "rows"

CHANGED: frozenset[tuple[str, str, str]] = frozenset()
"""Revision, table and column, where a step is meant to change what old rows say."""


def kept() -> set[str]:
    """The revisions that have rows of their own."""
    return {path.stem for path in ROWS.glob("*.sql") if statements(path.stem)}


def statements(revision: str) -> list[str]:
    """The statements that put a revision's rows in."""
    text = (ROWS / f"{revision}.sql").read_text(encoding="utf-8")
    return [each.strip() for each in text.split(";\n") if each.strip()]


def insert(url: str, revision: str) -> None:
    """Put a revision's rows into a database that stands at it."""
    with opened(url) as connection:
        for statement in statements(revision):
            connection.exec_driver_sql(statement)


def fill(url: str) -> None:
    """Migrate an empty database step by step, putting in each revision's rows on the way."""
    for revision in migrate.revisions():
        migrate.upgrade(url, revision)
        insert(url, revision)
