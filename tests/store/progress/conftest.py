"""Schools with the cast and the syllabus in them."""

from __future__ import annotations

import pytest

from app.store.database import Database
from app.store.riding.reference import load_reference
from tests.support import cast
from tests.support.clock import START


def furnish(database: Database) -> cast.Cast:
    """Bring the cast and the syllabus into an empty school."""
    who = cast.make(database, START)
    load_reference(database, START)
    return who


@pytest.fixture
def who(either: Database) -> cast.Cast:
    """The cast, with the syllabus, on each kind of database."""
    return furnish(either)
