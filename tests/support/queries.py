"""Counting what a page asks of the database."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import event

from app.store.database import Database


@contextmanager
def counted(database: Database) -> Iterator[list[str]]:
    """Collect the statements that are run while the block runs (SELECT and the like, not BEGIN)."""
    seen: list[str] = []

    def note(_c: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
        if not statement.startswith(("BEGIN", "PRAGMA", "SAVEPOINT", "RELEASE")):
            seen.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        yield seen
    finally:
        event.remove(database.engine, "before_cursor_execute", note)
