"""Pictures of a database: of its schema, as the database itself tells it, and of its rows."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, inspect, text

Facts = frozenset[tuple[str, ...]]
Rows = dict[str, dict[tuple[Any, ...], dict[str, Any]]]

_POSTGRES = {
    "column": """
        SELECT table_name, column_name, data_type, is_nullable, column_default,
               character_maximum_length, numeric_precision, numeric_scale
        FROM information_schema.columns WHERE table_schema = 'public'""",
    "constraint": """
        SELECT conrelid::regclass, conname, pg_get_constraintdef(oid)
        FROM pg_constraint WHERE connamespace = 'public'::regnamespace""",
    "index": "SELECT tablename, indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
    "sequence": "SELECT sequencename, data_type FROM pg_sequences WHERE schemaname = 'public'",
    "trigger": """
        SELECT tgrelid::regclass, tgname, pg_get_triggerdef(oid)
        FROM pg_trigger WHERE NOT tgisinternal""",
    "function": """
        SELECT proname, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace""",
}
_SQLITE_EXTRAS = {
    "index": "SELECT tbl_name, name, sql FROM sqlite_master WHERE type = 'index'",
    "trigger": "SELECT tbl_name, name, sql FROM sqlite_master WHERE type = 'trigger'",
}


def schema(connection: Connection) -> Facts:
    """Every fact of the schema, each as its kind, its table and what is said of it.

    The order of columns does not count; Alembic's own table is left out.
    """
    if connection.dialect.name == "sqlite":
        found = [*_asked(connection, _SQLITE_EXTRAS), *_sqlite_tables(connection)]
    else:
        found = list(_asked(connection, _POSTGRES))
    return frozenset(fact for fact in found if "alembic_version" not in fact[1])


def of_kind(facts: Facts, *kinds: str) -> Facts:
    """The facts of some kinds."""
    return frozenset(fact for fact in facts if fact[0] in kinds)


def names(facts: Facts, kind: str) -> set[tuple[str, str]]:
    """Table and name of everything of one kind."""
    return {(fact[1], fact[2]) for fact in facts if fact[0] == kind}


def rows(connection: Connection) -> Rows:
    """Every row of every table, under its primary key."""
    return {name: _table(connection, name) for name in tables(connection)}


def tables(connection: Connection) -> list[str]:
    """The tables there are, Alembic's own left out."""
    return sorted(set(inspect(connection).get_table_names()) - {"alembic_version"})


def counts(connection: Connection) -> dict[str, int]:
    """How many rows each table has."""
    return {name: len(found) for name, found in rows(connection).items()}


def _asked(connection: Connection, questions: dict[str, str]) -> Iterable[tuple[str, ...]]:
    for kind, question in questions.items():
        for row in connection.execute(text(question)):
            yield (kind, *(_folded(each) for each in row))


def _sqlite_tables(connection: Connection) -> Iterable[tuple[str, ...]]:
    """What a CREATE TABLE says, part by part, so that the order of the parts does not count."""
    ask = inspect(connection)
    for name in ask.get_table_names():
        for column in ask.get_columns(name):
            yield ("column", name, *(f"{key}={said}" for key, said in sorted(column.items())))
        yield ("primary key", name, str(ask.get_pk_constraint(name)))
        yield from (("foreign key", name, str(each)) for each in ask.get_foreign_keys(name))
        yield from (("unique", name, str(each)) for each in ask.get_unique_constraints(name))
        yield from (("check", name, str(each)) for each in ask.get_check_constraints(name))


def _table(connection: Connection, name: str) -> dict[tuple[Any, ...], dict[str, Any]]:
    keys = inspect(connection).get_pk_constraint(name)["constrained_columns"]
    found = connection.execute(text(f"SELECT * FROM {name}")).mappings()  # noqa: S608
    return {tuple(row[key] for key in keys): dict(row) for row in found}


def _folded(value: object) -> str:
    return re.sub(r"\s+", " ", str(value)).strip()
