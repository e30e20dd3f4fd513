"""A school with the shipped syllabus."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask

from app.store.database import Database
from tests.support import cast
from tests.support.client import Visitor
from tests.support.clock import Clock
from tests.web.riding.board import Board
from tests.web.riding.mock import MockTest

Visit = Callable[[str | None], Visitor]


@pytest.fixture
def board(visit: Visit, database: Database, people: cast.Cast) -> Board:
    """The board with its instructor before it."""
    return Board(visit("instructor"), database, people)


@pytest.fixture
def app_database(app: Flask) -> Database:
    """The database as the app holds it, for counting what a page asks."""
    school: Database = app.extensions["yardmark_database"]
    return school


@pytest.fixture
def mock(visit: Visit, database: Database, people: cast.Cast, clock: Clock) -> MockTest:
    """Lena's mock test, with her instructor before it."""
    return MockTest(visit("instructor"), database, people, clock)
