"""What the store has kept of the engine, to be compared."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sqlalchemy import select

from app.store.database import Database
from app.store.progress.tables import LearnerRow, StandingRow

Rows = dict[tuple[int, ...], dict[str, Any]]


def rows(database: Database) -> Rows:
    """Every row of the two tables by its key: one for a student, one for each variant."""
    with database.reading() as session:
        learners = session.scalars(select(LearnerRow)).all()
        standings = session.scalars(select(StandingRow)).all()
    found: Rows = {(row.student_id,): {"kept": _columns(row), **row.state} for row in learners}
    for row in standings:
        found[row.student_id, row.variant_id] = {"kept": _columns(row), **row.state}
    return found


def _columns(row: LearnerRow | StandingRow) -> dict[str, Any]:
    return {c.name: getattr(row, c.name) for c in row.__table__.columns if c.name != "state"}


def same(one: Any, other: Any) -> bool:
    """Whether two values agree: numbers to 1e-12, everything else exactly."""
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=0, abs_tol=1e-12)
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    return bool(one == other)
