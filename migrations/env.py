"""How Alembic reaches the school's database. The connection is handed over by the app."""

from __future__ import annotations

import os
from typing import Literal

from alembic import context
from alembic.autogenerate.api import AutogenContext
from sqlalchemy import Connection

from app.config import from_env
from app.store.columns import Instant
from app.store.database import open_engine
from app.store.schema import METADATA


def _render(kind: str, item: object, _context: AutogenContext) -> str | Literal[False]:
    """Write our own column type as what it is, since a migration imports nothing from the app."""
    if kind == "type" and isinstance(item, Instant):
        return "sa.DateTime(timezone=True)"
    return False


def _migrate(connection: Connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=METADATA,
        render_as_batch=connection.dialect.name == "sqlite",
        compare_type=True,
        render_item=_render,
    )
    with context.begin_transaction():
        context.run_migrations()


def _run() -> None:
    given = context.config.attributes.get("connection")
    if given is not None:
        _migrate(given)
        return
    engine = open_engine(from_env(os.environ).database_url, foreign_keys=False)
    with engine.connect() as connection:
        _migrate(connection)
        connection.commit()


_run()
