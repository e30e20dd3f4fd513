"""The two instructors as those who record."""

from __future__ import annotations

import pytest

from app.rules.accounts.roles import Actor, Role
from tests.support import cast


@pytest.fixture
def ines(people: cast.Cast) -> Actor:
    """The instructor of the learner's session."""
    return Actor(
        account_id=people.instructor_account,
        name="Ines Heron",
        roles=frozenset({Role.INSTRUCTOR}),
        origin="test",
        instructor_id=people.instructor,
    )


@pytest.fixture
def ivor(people: cast.Cast) -> Actor:
    """The instructor of the stranger's session."""
    return Actor(
        account_id=people.other_instructor_account,
        name="Ivor Plover",
        roles=frozenset({Role.INSTRUCTOR}),
        origin="test",
        instructor_id=people.other_instructor,
    )
