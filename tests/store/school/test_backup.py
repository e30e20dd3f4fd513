"""Backing the school up and bringing it back."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import func, select, update

from app.rules.refusal import Refused
from app.store.database import Database
from app.store.people.tables import StudentRow
from app.store.school.backup import backup, restore
from tests.support import cast
from tests.support.clock import START
from tests.support.databases import PostgresServer


def test_a_school_comes_back_as_it_was(url: str, database: Database, tmp_path: Path) -> None:
    cast.make(database, START)
    assert backup(url, tmp_path / "kept") > 0
    restored = f"sqlite:///{tmp_path / 'new' / 'yardmark.db'}"
    restore(restored, tmp_path / "kept")
    school = Database(restored)
    with school.reading() as session:
        assert session.scalar(select(func.count()).select_from(StudentRow)) == 2
    school.close()


def test_a_backup_is_whole_while_a_write_is_under_way(
    url: str, database: Database, tmp_path: Path
) -> None:
    cast.make(database, START)
    with database.writing() as session:
        session.execute(update(StudentRow).values(notes="half"))
        session.flush()
        backup(url, tmp_path / "kept")
    with sqlite3.connect(tmp_path / "kept") as copy:
        assert copy.execute("SELECT DISTINCT notes FROM students").fetchall() == [("",)]


def test_a_file_that_is_there_is_not_written_over(
    url: str, database: Database, tmp_path: Path
) -> None:
    target = tmp_path / "kept"
    target.write_text("mine")
    with pytest.raises(Refused, match="there already"):
        backup(url, target)
    assert target.read_text() == "mine"


def test_a_school_in_use_is_not_restored_over(url: str, tmp_path: Path) -> None:
    backup(url, tmp_path / "kept")
    with pytest.raises(Refused, match="there already"):
        restore(url, tmp_path / "kept")


@pytest.mark.parametrize("damage", ["cut", "text", "empty", "other"])
def test_a_damaged_file_is_refused_before_anything_is_touched(
    url: str, tmp_path: Path, damage: str
) -> None:
    kept = tmp_path / "kept"
    backup(url, kept)
    whole = kept.read_bytes()
    sqlite3.connect(tmp_path / "other").execute("CREATE TABLE t (x)").connection.close()
    other = (tmp_path / "other").read_bytes()
    kept.write_bytes(
        {"cut": whole[: len(whole) // 2], "text": b"hello", "empty": b"", "other": other}[damage]
    )
    target = tmp_path / "new.db"
    with pytest.raises(Refused):
        restore(f"sqlite:///{target}", kept)
    assert not target.exists()
    assert not list(tmp_path.glob("*.part"))


def test_a_backup_from_a_newer_release_is_refused(url: str, tmp_path: Path) -> None:
    backup(url, tmp_path / "kept")
    with sqlite3.connect(tmp_path / "kept") as copy:
        copy.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(Refused, match="newer release"):
        restore(f"sqlite:///{tmp_path / 'new.db'}", tmp_path / "kept")


@pytest.mark.postgres
def test_on_postgresql_its_own_tools_are_named(
    postgres_server: PostgresServer, tmp_path: Path
) -> None:
    with pytest.raises(Refused, match="pg_dump"):
        backup(postgres_server.fresh(), tmp_path / "kept")
