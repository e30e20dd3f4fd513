"""What every command stands on: the configuration, a database, and how a refusal is said."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

import click

from app.config import BadConfig, Config, from_env
from app.rules.refusal import Missing, Refused
from app.store import schema as _all_tables  # noqa: F401, every table that a kept row points at
from app.store.database import Database


def config() -> Config:
    """The configuration from the environment; a bad one ends the command in one sentence."""
    try:
        return from_env(os.environ)
    except BadConfig as bad:
        raise click.ClickException(str(bad)) from bad


@contextmanager
def plainly() -> Iterator[None]:
    """Turn a refusal by the rules into one plain line and exit code 1."""
    try:
        yield
    except (Refused, Missing) as refused:
        raise click.ClickException(str(refused)) from refused


@contextmanager
def school() -> Iterator[Database]:
    """The school's database, closed when the command is done."""
    database = Database(config().database_url)
    try:
        with plainly():
            yield database
    finally:
        database.close()
