"""The large school of the bench: a diary that the rules and the database let stand."""

from __future__ import annotations

import re
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from app.commands.bench.command import _load
from app.commands.bench.diary import Full, compare_diary
from app.commands.bench.full_diary import BIKES, INSTRUCTORS, fill_diary
from app.config import utc_now
from app.store.database import Database
from app.store.diary.horizon import load
from tests.support.cast import Cast
from tests.support.clock import LONDON, START

TODAY = START.date()


def test_a_school_is_filled_for_so_many_days(database: Database, people: Cast, url: str) -> None:
    school = Path(url.removeprefix("sqlite:///"))
    rows = fill_diary(school, TODAY, days=3, students=200)
    with sqlite3.connect(school) as connection:
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        counts = [
            connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0]  # noqa: S608
            for table in ("instructors", "bikes", "students")
        ]
    assert counts == [INSTRUCTORS, BIKES, 200]
    with database.reading() as session:
        found = load(session, TODAY, TODAY + timedelta(days=2), START, LONDON)
    ours = [one for one in found.sessions if one.yard_id not in (people.yard, people.small_yard)]
    assert len(ours) == 3 * 3 * (INSTRUCTORS - 2)
    assert {found.taken(one.id) for one in ours} == {2, 3}
    assert rows == len(ours) + sum(found.taken(one.id) for one in ours)


@pytest.mark.slow
def test_each_page_is_told_with_its_ratio(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    demo = tmp_path / "school.db"
    _load(f"sqlite:///{demo}")
    compare_diary(demo, tmp_path, 3, utc_now().date(), Full(days=5, students=100))
    said = capsys.readouterr().out
    assert "Diary: 20 instructors, 60 bikes, 100 students, 5 days" in said
    names = re.findall(r"^(.+?) +p50 .* of the floor$", said, re.MULTILINE)
    assert names == ["find a place", "find no place", "day view", "week view"]
