"""What the pages of progress are asked about."""

from __future__ import annotations

import pytest

from app.store.database import Database
from tests.support.cast import Cast
from tests.support.riding import variant


@pytest.fixture
def slalom(database: Database, people: Cast) -> int:
    """The id of the slalom's only variant."""
    return variant(database, "slalom")
