"""SQLite changes a table by making it anew. That must not cost the rows that point at it."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection

from app.store import migrate
from app.store.schema import METADATA
from tests.migrations import picture, samples
from tests.migrations.folder import with_one_more
from tests.migrations.use import opened

FAMILY = (
    "CREATE TABLE parents (id INTEGER PRIMARY KEY, name TEXT)",
    "CREATE TABLE children (id INTEGER PRIMARY KEY,"
    " parent_id INTEGER REFERENCES parents (id) ON DELETE CASCADE)",
    "INSERT INTO parents VALUES (1, 'a'), (2, 'b')",
    "INSERT INTO children VALUES (10, 1), (11, 1), (12, 2)",
)


def _rebuild(connection: Connection, table: str) -> None:
    operations = Operations(MigrationContext.configure(connection))
    with operations.batch_alter_table(table, recreate="always"):
        pass


def _family_after_rebuild(url: str, *, foreign_keys: bool) -> dict[str, int]:
    with opened(url) as connection:
        for statement in FAMILY:
            connection.exec_driver_sql(statement)
    with opened(url, foreign_keys=foreign_keys) as connection:
        _rebuild(connection, "parents")
        assert connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall() == []
    with opened(url) as connection:
        return picture.counts(connection)


def test_with_foreign_keys_on_a_rebuild_loses_the_children_silently(bare_sqlite: str) -> None:
    """Why migrations have an engine of their own. The check afterwards finds nothing wrong.

    Source: SQLite, "ALTER TABLE", section 7, and "SQLite Foreign Key Support", section 5:
    DROP TABLE performs an implicit DELETE FROM first while foreign keys are on.
    """
    after = _family_after_rebuild(bare_sqlite, foreign_keys=True)
    assert after == {"parents": 2, "children": 0}


def test_with_foreign_keys_off_every_child_is_kept(bare_sqlite: str) -> None:
    after = _family_after_rebuild(bare_sqlite, foreign_keys=False)
    assert after == {"parents": 2, "children": 3}


def _full_school(url: str) -> picture.Rows:
    samples.fill(url)
    with opened(url) as connection:
        return picture.rows(connection)


def _triggers(url: str) -> picture.Facts:
    with opened(url) as connection:
        return picture.of_kind(picture.schema(connection), "trigger")


@pytest.mark.parametrize("table", sorted(METADATA.tables))
def test_any_table_can_be_rebuilt_with_its_children_present(
    bare_sqlite: str, tmp_path: Path, table: str
) -> None:
    before, triggers = _full_school(bare_sqlite), _triggers(bare_sqlite)
    rebuild = f"with op.batch_alter_table({table!r}, recreate='always'): pass"
    migrate.upgrade(bare_sqlite, scripts=with_one_more(tmp_path, rebuild))
    with opened(bare_sqlite) as connection:
        assert picture.rows(connection) == before
        assert picture.of_kind(picture.schema(connection), "trigger") == triggers
        assert connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall() == []
