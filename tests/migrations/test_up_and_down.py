"""Up, down and up again: the schema is the same, and nothing is left behind below."""

from __future__ import annotations

import pytest

from app.store import migrate
from tests.migrations import picture
from tests.migrations.use import opened

STEPS = migrate.revisions()


def _schema(url: str) -> picture.Facts:
    with opened(url) as connection:
        return picture.schema(connection)


def test_up_down_up_ends_where_up_ended(bare_url: str) -> None:
    migrate.upgrade(bare_url)
    first = _schema(bare_url)
    migrate.downgrade(bare_url, "base")
    assert _schema(bare_url) == frozenset()
    migrate.upgrade(bare_url)
    assert _schema(bare_url) == first


def test_each_step_is_undone_exactly(bare_url: str) -> None:
    schemas = []
    for revision in STEPS:
        schemas.append(_schema(bare_url))
        migrate.upgrade(bare_url, revision)
    for before in reversed(schemas):
        migrate.downgrade(bare_url, "-1")
        assert _schema(bare_url) == before


def test_upgrading_twice_changes_nothing(bare_url: str) -> None:
    migrate.upgrade(bare_url)
    first = _schema(bare_url)
    migrate.upgrade(bare_url)
    assert _schema(bare_url) == first


def test_there_is_one_line_of_revisions() -> None:
    assert list(STEPS) == sorted(STEPS)
    assert STEPS[-1] == migrate.head_revision()


@pytest.mark.parametrize("revision", STEPS)
def test_a_shipped_revision_is_known(revision: str) -> None:
    assert migrate.is_known(revision)
    assert not migrate.is_known(f"{revision}x")
