"""Fixtures for the migrations: an empty database on each kind of server."""

from __future__ import annotations

import pytest

from tests.conftest import BOTH
from tests.support.databases import PostgresServer, SqliteFactory


@pytest.fixture(params=BOTH)
def bare_url(request: pytest.FixtureRequest) -> str:
    """A database without any table, once on SQLite and once on PostgreSQL."""
    name = "sqlite_factory" if request.param == "sqlite" else "postgres_server"
    factory: SqliteFactory | PostgresServer = request.getfixturevalue(name)
    return factory.empty()


@pytest.fixture
def bare_sqlite(sqlite_factory: SqliteFactory) -> str:
    """A SQLite database without any table."""
    return sqlite_factory.empty()
