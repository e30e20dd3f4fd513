"""Real databases for tests: copied SQLite files, and a PostgreSQL server thrown away later."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

from sqlalchemy import create_engine, make_url, text

from app.store import migrate
from app.store.database import Database
from app.store.riding.reference import load_reference
from tests.support import cast
from tests.support.cast import Cast
from tests.support.clock import START


class NoPostgres(Exception):
    """The machine has no PostgreSQL server programs."""


@dataclass
class SqliteFactory:
    """Hands out migrated SQLite databases, each a copy of one that was migrated once."""

    folder: Path
    _numbers: count[int] = field(default_factory=count)
    _template: Path | None = None
    _furnished: tuple[Path, Cast] | None = None

    def empty(self) -> str:
        """The address of a database file that does not exist yet."""
        return f"sqlite:///{self.folder / f'empty-{next(self._numbers)}.db'}"

    def fresh(self) -> str:
        """The address of a new database with the schema of this release and no rows."""
        if self._template is None:
            self._template = self.folder / "template.db"
            migrate.upgrade(f"sqlite:///{self._template}")
        return self._copy(self._template)

    def furnished(self) -> str:
        """The address of a new database with the syllabus and the cast in it."""
        return self._copy(self._with_cast()[0])

    @property
    def people(self) -> Cast:
        """The cast of every furnished database: the same rows have the same ids everywhere."""
        return self._with_cast()[1]

    def _with_cast(self) -> tuple[Path, Cast]:
        if self._furnished is None:
            url = self.fresh()
            self._furnished = (Path(url.removeprefix("sqlite:///")), _furnish_and_leave(url))
        return self._furnished

    def _copy(self, template: Path) -> str:
        path = self.folder / f"school-{next(self._numbers)}.db"
        shutil.copy(template, path)
        return f"sqlite:///{path}"


_QUICKLY = (
    "listen_addresses=''",
    "max_connections=200",
    "fsync=off",
    "synchronous_commit=off",
    "full_page_writes=off",
    "wal_level=minimal",
    "max_wal_senders=0",
    "max_wal_size=4GB",
    # There is a database for each test, and it would go round them all.
    "autovacuum=off",
)
"""Without durability, and without the work that only a long life needs."""


@dataclass
class PostgresServer:
    """A PostgreSQL server on a socket of its own, without durability, for one test run."""

    folder: Path
    binaries: Path
    _numbers: count[int] = field(default_factory=count)
    _template: str | None = None
    _furnished: str | None = None

    def start(self) -> None:
        """Make the cluster and start it (about two seconds)."""
        self._run("initdb", "-D", str(self.folder / "data"), "-A", "trust", "-U", "yardmark")
        settings = " ".join(f"-c {setting}" for setting in _QUICKLY)
        options = f"-k {self.folder} {settings}"
        log = str(self.folder / "log")
        data = str(self.folder / "data")
        self._run("pg_ctl", "-D", data, "-w", "-l", log, "-o", options, "start")

    def stop(self) -> None:
        """Stop the server at once and remove everything."""
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-m", "immediate", "stop")
        shutil.rmtree(self.folder, ignore_errors=True)

    def kill(self) -> None:
        """End the server's processes without warning, as a power cut would."""
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-m", "immediate", "stop")

    def address(self, name: str) -> str:
        """The address of one of this server's databases."""
        return f"postgresql://yardmark@/{name}?host={self.folder}"

    def empty(self) -> str:
        """The address of a new database without any table."""
        return self._create("template1")

    def fresh(self) -> str:
        """The address of a new database with the schema of this release and no rows."""
        if self._template is None:
            url = self._create("template1")
            migrate.upgrade(url)
            self._template = make_url(url).database or ""
        return self._create(self._template)

    def furnished(self) -> str:
        """The address of a new database with the syllabus and the cast in it."""
        if self._furnished is None:
            url = self.fresh()
            _furnish_and_leave(url)
            self._furnished = make_url(url).database or ""
        return self._create(self._furnished)

    def _create(self, template: str) -> str:
        name = f"school_{next(self._numbers)}"
        url = self.address("postgres").replace("postgresql://", "postgresql+psycopg://")
        engine = create_engine(url, isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {template}"))
        engine.dispose()
        return self.address(name)

    def _run(self, program: str, *arguments: str) -> None:
        command = [str(self.binaries / program), *arguments]
        if os.geteuid() == 0:  # the server programs refuse root
            command = ["runuser", "-u", "postgres", "--", *command]
        # The server keeps what it is given, so a pipe here would never close.
        with (self.folder / "commands.log").open("a") as log:
            subprocess.run(command, check=True, stdout=log, stderr=log, cwd=self.folder)


def furnish(database: Database) -> Cast:
    """Put the syllabus and the cast into an empty school."""
    load_reference(database, START)
    return cast.make(database, START)


def _furnish_and_leave(url: str) -> Cast:
    school = Database(url)
    people = furnish(school)
    school.close()
    return people


def find_postgres() -> Path:
    """The folder of PostgreSQL's server programs; raises NoPostgres."""
    given = os.environ.get("YARDMARK_PG_BIN")
    if given:
        return Path(given)
    found = shutil.which("initdb")
    if found and shutil.which("postgres"):
        return Path(found).resolve().parent
    installed = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not installed:
        raise NoPostgres
    return installed[-1].parent


def open_postgres() -> PostgresServer:
    """Start a throwaway server; raises NoPostgres where there is none to start."""
    binaries = find_postgres()
    folder = Path(tempfile.mkdtemp(prefix="yardmark-pg-"))
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
    server = PostgresServer(folder, binaries)
    server.start()
    return server
