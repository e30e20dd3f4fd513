"""Bringing a database to the schema of this release."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from alembic import command
from alembic.config import Config as AlembicConfig
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine

from app.store.database import open_engine
from app.store.kept_triggers import KeptTriggers

MIGRATIONS = Path(__file__).resolve().parents[2] / "migrations"


class BrokenReferences(Exception):
    """Rows point at rows that are not there. The migration has been undone."""


def upgrade(url: str, revision: str = "head", scripts: Path = MIGRATIONS) -> None:
    """Migrate the database at ``url`` up to ``revision``, all or nothing.

    ``scripts`` is the folder that the revisions are kept in.

    SQLite rebuilds a table by dropping it, and with foreign keys on that would
    silently delete the rows that point at it; so this runs on an engine of its
    own with foreign keys off and checks every reference before it commits.
    """
    _run(url, scripts, lambda config: command.upgrade(config, revision))


def downgrade(url: str, revision: str, scripts: Path = MIGRATIONS) -> None:
    """Migrate the database at ``url`` down to ``revision``, all or nothing."""
    _run(url, scripts, lambda config: command.downgrade(config, revision))


def is_current(engine: Engine) -> bool:
    """Whether the database has the schema of this release."""
    with engine.connect() as connection:
        return current_revision(connection) == head_revision()


def current_revision(connection: Connection) -> str | None:
    """The revision the database says it is at, or None when it is empty."""
    return MigrationContext.configure(connection).get_current_revision()


def head_revision() -> str | None:
    """The newest revision that this release ships."""
    return ScriptDirectory.from_config(_config(MIGRATIONS)).get_current_head()


def revisions() -> tuple[str, ...]:
    """Every revision that this release ships, the oldest first."""
    found = ScriptDirectory.from_config(_config(MIGRATIONS)).walk_revisions()
    return tuple(reversed([script.revision for script in found]))


def is_known(revision: str) -> bool:
    """Whether this release ships the revision; False for one from a newer release."""
    return revision in revisions()


def _config(scripts: Path) -> AlembicConfig:
    config = AlembicConfig()
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    return config


def _run(url: str, scripts: Path, change: Callable[[AlembicConfig], None]) -> None:
    engine = open_engine(url, foreign_keys=False).execution_options(yardmark_writer=True)
    try:
        with engine.begin() as connection, _triggers_kept(engine, connection):
            config = _config(scripts)
            config.attributes["connection"] = connection
            change(config)
            _check_references(connection)
    finally:
        engine.dispose()


@contextmanager
def _triggers_kept(engine: Engine, connection: Connection) -> Iterator[None]:
    if connection.dialect.name != "sqlite":
        yield
        return
    kept = KeptTriggers(engine)
    kept.begin(connection)
    yield
    kept.restore(connection)


def _check_references(connection: Connection) -> None:
    if connection.dialect.name != "sqlite":
        return
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        tables = ", ".join(sorted({str(row[0]) for row in broken}))
        raise BrokenReferences(f"Rows without their counterpart in: {tables}. Nothing was changed.")
