"""Schools with the cast and the syllabus in them."""

from __future__ import annotations

import pytest

from tests.support.cast import Cast


@pytest.fixture
def who(people: Cast) -> Cast:
    """The cast, with the syllabus, on each kind of database."""
    return people
