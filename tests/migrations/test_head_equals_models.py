"""The migrations, run to the end, make the very schema that the models describe."""

from __future__ import annotations

from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import text

from app.store import migrate
from app.store.database import open_engine
from app.store.schema import METADATA
from tests.migrations import picture
from tests.migrations.use import opened

KEPT_FOR_GOOD = {
    ("attempts", "attempts_no_delete"),
    ("audit_entries", "audit_entries_no_delete"),
    ("audit_entries", "audit_entries_no_update"),
}
NEVER_TWICE = {
    "sqlite": {
        ("training_sessions", "instructor_once_insert"),
        ("training_sessions", "instructor_once_update"),
        ("training_sessions", "sessions_places_update"),
        ("bookings", "student_once_insert"),
        ("bookings", "student_once_update"),
        ("bookings", "bike_once_insert"),
        ("bookings", "bike_once_update"),
        ("bookings", "bookings_place_insert"),
        ("bookings", "bookings_place_update"),
    },
    "postgresql": {
        ("training_sessions", "sessions_places"),
        ("bookings", "bookings_place"),
    },
}
"""What PostgreSQL keeps by constraints, which the models hold, SQLite keeps by triggers."""


def _migrated(url: str) -> picture.Facts:
    migrate.upgrade(url)
    with opened(url) as connection:
        return picture.schema(connection)


def _from_the_models(url: str) -> picture.Facts:
    with opened(url) as connection:
        METADATA.create_all(connection)
        made = picture.schema(connection)
        METADATA.drop_all(connection)
    return made


def test_alembic_finds_nothing_left_to_do(bare_url: str) -> None:
    migrate.upgrade(bare_url)
    with opened(bare_url) as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []


def test_alembic_would_see_a_missing_column(bare_url: str) -> None:
    migrate.upgrade(bare_url)
    with opened(bare_url) as connection:
        connection.execute(text("ALTER TABLE students DROP COLUMN notes"))
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert [found[0] for found in compare_metadata(context, METADATA)] == ["add_column"]


def test_every_constraint_and_index_is_the_models_own(bare_url: str) -> None:
    """What Alembic does not compare: checks, the conditions of indexes, names, lengths."""
    wanted = _from_the_models(bare_url)
    got = _migrated(bare_url)
    triggers = picture.of_kind(got, "trigger", "function")
    assert got - triggers == wanted


def test_the_picture_sees_checks_and_conditions_of_indexes(bare_url: str) -> None:
    told = " ".join(" ".join(fact) for fact in _migrated(bare_url))
    for said in ("ck_attempts_speed_possible", "dangerous", "uq_bookings_bike_held", "no_show"):
        assert said in told
    held = [fact for fact in _migrated(bare_url) if "uq_bookings_student_held" in fact]
    assert any("WHERE" in fact[-1] and "attended" in fact[-1] for fact in held)


def test_the_triggers_are_those_meant(bare_url: str) -> None:
    with opened(bare_url) as connection:
        wanted = KEPT_FOR_GOOD | NEVER_TWICE[connection.dialect.name]
    assert picture.names(_migrated(bare_url), "trigger") == wanted


def test_the_release_knows_its_own_head(bare_url: str) -> None:
    migrate.upgrade(bare_url)
    engine = open_engine(bare_url)
    assert migrate.is_current(engine)
    engine.dispose()
