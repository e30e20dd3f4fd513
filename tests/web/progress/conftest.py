"""The syllabus in the cast's school."""

from __future__ import annotations

import pytest

from app.store.database import Database
from app.store.riding.reference import load_reference
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.riding import variant


@pytest.fixture(autouse=True)
def syllabus(database: Database, people: Cast) -> None:
    """The shipped syllabus, beside the cast."""
    load_reference(database, START)


@pytest.fixture
def slalom(database: Database, syllabus: None) -> int:
    """The id of the slalom's only variant."""
    return variant(database, "slalom")
