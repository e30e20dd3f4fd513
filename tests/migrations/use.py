"""Opening a database for one look or one change, as the migrations open it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection

from app.store.database import open_engine


@contextmanager
def opened(url: str, *, foreign_keys: bool = True) -> Iterator[Connection]:
    """One transaction on a fresh engine, kept when the block ends."""
    engine = open_engine(url, foreign_keys=foreign_keys)
    try:
        with engine.execution_options(yardmark_writer=True).begin() as connection:
            yield connection
    finally:
        engine.dispose()
