"""Rows from before an upgrade are there after it, and those from before a downgrade too."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import text

from app.store import migrate
from tests.migrations import picture, samples
from tests.migrations.use import opened

STEPS = migrate.revisions()


def _rows(url: str) -> picture.Rows:
    with opened(url) as connection:
        return picture.rows(connection)


def lost(before: picture.Rows, after: picture.Rows, step: str) -> list[str]:
    """What a step took away or altered, in the tables and columns that both sides have."""
    return [
        f"{table} {key}: {old} is now {after[table].get(key)}"
        for table in sorted(before.keys() & after.keys())
        for key, old in before[table].items()
        if _differ(old, after[table].get(key), _meant(step, table))
    ]


def _meant(step: str, table: str) -> set[str]:
    return {column for s, t, column in samples.CHANGED if (s, t) == (step, table)}


def _differ(old: dict[str, Any], new: dict[str, Any] | None, meant: set[str]) -> bool:
    return new is None or any(old[name] != new[name] for name in (old.keys() & new.keys()) - meant)


def test_every_revision_has_sample_rows() -> None:
    without = set(STEPS) - samples.kept()
    assert not without, f"write rows/<revision>.sql for {sorted(without)}, see samples.py"
    assert samples.kept() == set(STEPS)


def test_every_table_has_sample_rows(bare_url: str) -> None:
    samples.fill(bare_url)
    empty = [table for table, found in _rows(bare_url).items() if not found]
    assert not empty, f"no row of {empty} in tests/migrations/rows"


def test_old_rows_survive_each_upgrade(bare_url: str) -> None:
    for revision in STEPS:
        before = _rows(bare_url)
        migrate.upgrade(bare_url, revision)
        after = _rows(bare_url)
        assert lost(before, after, revision) == []
        assert before.keys() <= after.keys()
        samples.insert(bare_url, revision)


def test_old_rows_survive_one_upgrade_over_many_releases(bare_url: str) -> None:
    """A school that stayed on the first release and now goes straight to this one."""
    migrate.upgrade(bare_url, STEPS[0])
    samples.insert(bare_url, STEPS[0])
    before = _rows(bare_url)
    migrate.upgrade(bare_url)
    after = _rows(bare_url)
    assert before["accounts"]
    assert lost(before, after, "head") == []


def test_a_downgrade_keeps_the_rows_of_the_tables_that_stay(bare_url: str) -> None:
    samples.fill(bare_url)
    for revision in reversed(STEPS):
        before = _rows(bare_url)
        migrate.downgrade(bare_url, "-1")
        assert lost(before, _rows(bare_url), revision) == []
    assert _rows(bare_url) == {}


def test_a_downgrade_can_be_gone_up_again(bare_url: str) -> None:
    samples.fill(bare_url)
    before = _rows(bare_url)
    migrate.downgrade(bare_url, STEPS[-2])
    migrate.upgrade(bare_url)
    assert _rows(bare_url) == before


@pytest.mark.parametrize(
    "statement",
    ["UPDATE students SET notes = '' WHERE id = 1", "DELETE FROM students WHERE id = 2"],
)
def test_a_lost_value_or_row_is_seen(bare_url: str, statement: str) -> None:
    samples.fill(bare_url)
    before = _rows(bare_url)
    with opened(bare_url) as connection:
        connection.execute(text(statement))
    assert len(lost(before, _rows(bare_url), "head")) == 1
