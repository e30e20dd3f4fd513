"""The schools of the bench: copies that hang together, and figures for each of them."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path

import pytest

from app.commands.bench.command import _load
from app.commands.bench.crowd import longer_history, more_students
from app.commands.bench.flags import Size, compare_flags
from app.store.database import Database
from app.store.progress.writes import rebuild
from tests.store.progress.kept import Rows, rows, same
from tests.support.cast import Cast
from tests.support.riding import ride_often

TABLES = ("students", "bookings", "attempts", "attempt_faults", "standings", "training_sessions")


@pytest.fixture
def school(database: Database, people: Cast, url: str) -> Path:
    """The file of a school in which Lena has ridden."""
    ride_often(database, people, sessions=2, rides=4)
    rebuild(database)
    return Path(url.removeprefix("sqlite:///"))


def counts(school: Path) -> dict[str, int]:
    """How many rows each table has, once every reference in them is found to hold."""
    with sqlite3.connect(school) as connection:
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        return {
            table: connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0]  # noqa: S608
            for table in TABLES
        }


def test_more_students_are_the_same_students_again(school: Path, database: Database) -> None:
    before, stood = counts(school), rows(database)
    more_students(school, 3)
    assert counts(school) == {
        table: many * (1 if table == "training_sessions" else 3) for table, many in before.items()
    }
    copied = nameless(database)
    assert len(copied) == 3 * len(stood)
    rebuild(database)
    assert same(copied, nameless(database))


def nameless(database: Database) -> Rows:
    """What is kept but for the names of the last rides, which are others in each copy."""
    return {
        key: {name: value for name, value in row.items() if name != "last_key"}
        for key, row in rows(database).items()
    }


def test_a_longer_history_lies_before_the_one_there_is(school: Path, database: Database) -> None:
    before, stood = counts(school), rows(database)
    longer_history(school, 3)
    after = counts(school)
    assert after["students"] == before["students"]
    assert (after["attempts"], after["attempt_faults"]) == (
        3 * before["attempts"],
        3 * before["attempt_faults"],
    )
    found = rows(database)
    assert [row["rides"] for row in found.values()] == [3 * row["rides"] for row in stood.values()]
    ends = [row["last_at"] for row in found.values()]
    assert ends == [row["last_at"] for row in stood.values()]


def test_once_is_as_it_was(school: Path) -> None:
    before = counts(school)
    more_students(school, 1)
    assert counts(school) == before


@pytest.mark.slow
def test_each_size_is_told_with_its_ratios(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    demo = tmp_path / "school.db"
    _load(f"sqlite:///{demo}")
    compare_flags(demo, tmp_path, 3, (Size(), Size(students=2), Size(history=2)))
    said = capsys.readouterr().out
    assert "Flags, 1 x students: 48 students" in said
    assert "Flags, 2 x students: 96 students" in said
    assert "Flags, 2 x history: 48 students" in said
    assert len(re.findall(r"of the smallest", said)) == 3 * 5
    assert len(re.findall(r"of the floor", said)) == 3 * 4
