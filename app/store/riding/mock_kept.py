"""A mock test as far as a ride of it is held against it."""

from __future__ import annotations

from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.riding.mock import KeptTest
from app.store.riding.tables import AttemptRow, MockLineRow, MockTestRow


def kept_test(session: Session, mock_test_id: UUID) -> KeptTest | None:
    """A mock test with the rides that count in it, or None: three queries."""
    row = session.get(MockTestRow, mock_test_id)
    if row is None:
        return None
    lines = session.execute(
        select(MockLineRow.variant_id, MockLineRow.left_out).where(
            MockLineRow.mock_test_id == mock_test_id
        )
    ).all()
    ridden = session.execute(
        select(AttemptRow.variant_id, AttemptRow.second_try).where(
            AttemptRow.mock_test_id == mock_test_id, AttemptRow.struck_at.is_(None)
        )
    ).all()
    return KeptTest(row.session_id, row.student_id, row.ended_at, dict(lines), frozenset(ridden))
