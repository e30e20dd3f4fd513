"""The cast in a school on each kind of database."""

from __future__ import annotations

import pytest

from app.store.database import Database
from tests.support.cast import Cast


@pytest.fixture
def school(either: Database) -> Database:
    """A school with the cast in it."""
    return either


@pytest.fixture
def who(school: Database, people: Cast) -> Cast:
    """The cast's ids in that school."""
    return people
