"""SQLite forgets a table's triggers when a migration makes the table anew. They are put back."""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy import Connection, Engine, event

_MADE = re.compile(r"\s*CREATE\s+TRIGGER\s+(\w+)", re.IGNORECASE)
_DROPPED = re.compile(r"\s*DROP\s+TRIGGER\s+(\w+)", re.IGNORECASE)
_TRIGGERS = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"


class KeptTriggers:
    """Watches what migrations do on an engine; ``restore`` makes again what only got lost.

    A trigger that a migration drops by its name stays dropped.
    """

    def __init__(self, engine: Engine) -> None:
        self._wanted: dict[str, str] = {}
        event.listen(engine, "before_cursor_execute", self._seen)

    def begin(self, connection: Connection) -> None:
        """Note the triggers there are."""
        # Otherwise a rename stops at any trigger that names a table which is being rebuilt.
        connection.exec_driver_sql("PRAGMA legacy_alter_table = ON")
        self._wanted = self._there(connection)

    def restore(self, connection: Connection) -> None:
        """Make those again that were lost with a table's old form."""
        there = self._there(connection)
        for name, sql in list(self._wanted.items()):
            if name not in there:
                connection.exec_driver_sql(sql)

    def _there(self, connection: Connection) -> dict[str, str]:
        return {row[0]: row[1] for row in connection.exec_driver_sql(_TRIGGERS)}

    def _seen(self, _connection: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
        if made := _MADE.match(statement):
            self._wanted[made[1]] = statement
        elif dropped := _DROPPED.match(statement):
            self._wanted.pop(dropped[1], None)
