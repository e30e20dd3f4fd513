"""A school with the shipped syllabus, on either kind of database."""

from __future__ import annotations

import pytest

from app.rules.accounts.roles import Actor, Role
from app.store.database import Database
from app.store.riding.reference import load_reference
from tests.support import cast
from tests.support.clock import START


@pytest.fixture
def people(either: Database) -> cast.Cast:
    """The cast, with the syllabus loaded."""
    load_reference(either, START)
    return cast.make(either, START)


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
