"""The database: how it is opened, and the two ways to use it, reading and writing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from enum import IntEnum
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.orm import Session as Session
from sqlalchemy.pool import QueuePool

# SQLite hands the write lock out unfairly: single waits of two seconds are
# seen under load, so a shorter timeout would turn waiting into failing.
_BUSY_MILLISECONDS = 10_000


class Lock(IntEnum):
    """What a write must have to itself on a database that lets writers run side by side."""

    DIARY = 1
    RIDES = 2
    AUDIT = 3
    ACCOUNTS = 4


class Database:
    """One school's database, on SQLite or PostgreSQL."""

    def __init__(self, url: str) -> None:
        self.engine = open_engine(url)
        self._writer = self.engine.execution_options(yardmark_writer=True)

    @property
    def is_sqlite(self) -> bool:
        """Whether this is the one-file database."""
        return self.engine.dialect.name == "sqlite"

    def read_session(self) -> Session:
        """A session for reading, which the caller closes."""
        return Session(self.engine, expire_on_commit=False)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session for reading only. Nothing done in it is kept."""
        with self.read_session() as session:
            yield session

    @contextmanager
    def writing(self, *locks: Lock) -> Iterator[Session]:
        """One transaction: kept whole when the block ends, or not at all when it raises.

        SQLite takes its one write lock at once. PostgreSQL takes the named
        advisory locks, always in the same order, until the transaction ends.
        """
        with Session(self._writer, expire_on_commit=False) as session, session.begin():
            if not self.is_sqlite:
                for lock in sorted(locks):
                    session.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": int(lock)})
            yield session

    def close(self) -> None:
        """Give back every connection."""
        self.engine.dispose()


def open_engine(url: str, *, foreign_keys: bool = True) -> Engine:
    """Open an engine. ``foreign_keys`` is off only while SQLite tables are rebuilt."""
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite":
        return create_engine(
            parsed.set(drivername="postgresql+psycopg"),
            pool_size=10,
            max_overflow=20,
            pool_pre_ping=True,
        )
    if parsed.database:
        Path(parsed.database).parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(parsed, poolclass=QueuePool, pool_size=10, max_overflow=20)
    _prepare_sqlite(engine, foreign_keys=foreign_keys)
    return engine


def _prepare_sqlite(engine: Engine, *, foreign_keys: bool) -> None:
    pragmas = (
        f"busy_timeout={_BUSY_MILLISECONDS}",
        "journal_mode=WAL",
        "synchronous=FULL",  # what survives a power cut
        f"foreign_keys={'ON' if foreign_keys else 'OFF'}",
    )

    def connected(dbapi_connection: Any, _record: Any) -> None:
        # The driver's own BEGIN comes too late and never says IMMEDIATE.
        dbapi_connection.isolation_level = None
        for pragma in pragmas:
            dbapi_connection.execute(f"PRAGMA {pragma}")

    def begun(connection: Connection) -> None:
        writer = connection.get_execution_options().get("yardmark_writer", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writer else "BEGIN")

    event.listen(engine, "connect", connected)
    event.listen(engine, "begin", begun)
