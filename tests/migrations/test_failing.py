"""A migration that fails leaves the database as it was: schema, rows and revision."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from app.store import migrate
from tests.migrations import picture, samples
from tests.migrations.folder import with_one_more
from tests.migrations.use import opened
from tests.support.databases import PostgresServer

State = tuple[picture.Facts, picture.Rows, str | None]


def _filled(url: str) -> State:
    samples.fill(url)
    return _state(url)


def _state(url: str) -> State:
    with opened(url) as connection:
        return (
            picture.schema(connection),
            picture.rows(connection),
            migrate.current_revision(connection),
        )


CHANGES = (
    "op.create_table('extras', sa.Column('id', sa.Integer, primary_key=True))",
    "op.add_column('students', sa.Column('nickname', sa.String))",
    "op.execute(\"UPDATE students SET name = 'Nobody'\")",
    "op.drop_table('standings')",
)


def test_the_changes_of_these_tests_would_be_made(bare_url: str, tmp_path: Path) -> None:
    before = _filled(bare_url)
    migrate.upgrade(bare_url, scripts=with_one_more(tmp_path, *CHANGES))
    after = _state(bare_url)
    assert all(old != new for old, new in zip(before, after, strict=True))


def test_a_migration_that_raises_undoes_everything(bare_url: str, tmp_path: Path) -> None:
    before = _filled(bare_url)
    scripts = with_one_more(tmp_path, *CHANGES, "raise RuntimeError('two students share a name')")
    with pytest.raises(RuntimeError, match="share a name"):
        migrate.upgrade(bare_url, scripts=scripts)
    assert _state(bare_url) == before


def test_a_failure_on_the_way_undoes_the_steps_before_it(bare_url: str, tmp_path: Path) -> None:
    scripts = with_one_more(tmp_path, "raise RuntimeError('no')")
    with pytest.raises(RuntimeError):
        migrate.upgrade(bare_url, scripts=scripts)
    with opened(bare_url) as connection:
        assert picture.schema(connection) == frozenset()


def test_broken_references_undo_everything(bare_sqlite: str, tmp_path: Path) -> None:
    before = _filled(bare_sqlite)
    scripts = with_one_more(tmp_path, *CHANGES, "op.execute('DELETE FROM yards')")
    with pytest.raises(migrate.BrokenReferences, match="training_sessions"):
        migrate.upgrade(bare_sqlite, scripts=scripts)
    assert _state(bare_sqlite) == before


@pytest.mark.postgres
def test_postgres_refuses_broken_references_by_itself(
    postgres_server: PostgresServer, tmp_path: Path
) -> None:
    url = postgres_server.empty()
    before = _filled(url)
    scripts = with_one_more(tmp_path, *CHANGES, "op.execute('DELETE FROM yards')")
    with pytest.raises(IntegrityError):
        migrate.upgrade(url, scripts=scripts)
    assert _state(url) == before


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE audit_entries SET action = 'nothing'",
        "DELETE FROM audit_entries",
        "DELETE FROM attempts",
    ],
)
def test_what_is_kept_for_good_stays(bare_url: str, statement: str) -> None:
    _, before, _ = _filled(bare_url)
    with pytest.raises(Exception, match="never"), opened(bare_url) as connection:
        connection.execute(text(statement))
    with opened(bare_url) as connection:
        assert picture.rows(connection) == before
