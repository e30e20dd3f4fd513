"""Fixtures for all tests: a database, the cast in it, the app over it, and visitors to the app."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator

import pytest
from flask import Flask
from jinja2 import FileSystemBytecodeCache

from app import create_app
from app.config import Config
from app.store.database import Database
from tests.support import cast
from tests.support.client import Visitor
from tests.support.clock import Clock
from tests.support.databases import NoPostgres, PostgresServer, SqliteFactory, open_postgres

BOTH = [
    pytest.param("sqlite", id="sqlite"),
    pytest.param("postgres", id="postgres", marks=pytest.mark.postgres),
]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The quick tests run first, so that most mistakes show early.

    Side by side it is the other way round: a long file that is begun last keeps
    one worker busy after the others are done.
    """
    side_by_side = "PYTEST_XDIST_WORKER" in os.environ
    items.sort(
        key=lambda item: any(map(item.get_closest_marker, ("slow", "browser"))),
        reverse=side_by_side,
    )


@pytest.fixture(scope="session")
def sqlite_factory(tmp_path_factory: pytest.TempPathFactory) -> SqliteFactory:
    """Migrated SQLite files on demand."""
    return SqliteFactory(tmp_path_factory.mktemp("sqlite"))


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[PostgresServer]:
    """A PostgreSQL server for this run. Without one the test is skipped, except in CI."""
    try:
        server = open_postgres()
    except NoPostgres:
        if os.environ.get("CI") == "true":
            raise
        pytest.skip("PostgreSQL's server programs are not installed")
    yield server
    server.stop()


@pytest.fixture
def url(request: pytest.FixtureRequest, sqlite_factory: SqliteFactory) -> str:
    """The address of a migrated SQLite database: empty, unless the test asks for ``people``."""
    return _new(request, sqlite_factory)


def _new(request: pytest.FixtureRequest, factory: SqliteFactory | PostgresServer) -> str:
    return factory.furnished() if "people" in request.fixturenames else factory.fresh()


@pytest.fixture(params=BOTH)
def either_url(request: pytest.FixtureRequest) -> str:
    """The same, once on SQLite and once on PostgreSQL."""
    name = "sqlite_factory" if request.param == "sqlite" else "postgres_server"
    return _new(request, request.getfixturevalue(name))


@pytest.fixture
def database(url: str) -> Iterator[Database]:
    """An open school on SQLite, empty unless the test asks for ``people``."""
    school = Database(url)
    yield school
    school.close()


@pytest.fixture
def either(either_url: str) -> Iterator[Database]:
    """The same, once on each kind of database."""
    school = Database(either_url)
    yield school
    school.close()


@pytest.fixture
def clock() -> Clock:
    """The time, which stands still."""
    return Clock()


@pytest.fixture
def people(sqlite_factory: SqliteFactory) -> cast.Cast:
    """The cast of the test's school, which has the syllabus too, as after any start of the app."""
    return sqlite_factory.people


@pytest.fixture(scope="session")
def templates(tmp_path_factory: pytest.TempPathFactory) -> FileSystemBytecodeCache:
    """The templates as compiled by the first app of this run that shows them."""
    return FileSystemBytecodeCache(str(tmp_path_factory.mktemp("templates")))


@pytest.fixture
def app(
    database: Database, url: str, clock: Clock, templates: FileSystemBytecodeCache
) -> Iterator[Flask]:
    """The web application over the SQLite school, without rate limits."""
    config = Config(database_url=url, secret_key="k" * 40, clock=clock, rate_limits=False)
    flask_app = create_app(config)
    flask_app.testing = True
    flask_app.jinja_env.bytecode_cache = templates
    yield flask_app
    flask_app.extensions["yardmark_database"].close()


@pytest.fixture
def visit(app: Flask, people: cast.Cast) -> Callable[[str | None], Visitor]:
    """Make a visitor: ``visit("desk")`` is signed in as Dev, ``visit(None)`` is a passer-by."""

    def make(who: str | None = None) -> Visitor:
        visitor = Visitor(app)
        return visitor.sign_in(who) if who else visitor

    return make
