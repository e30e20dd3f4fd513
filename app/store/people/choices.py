"""Which kinds of email a student wants."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from sqlalchemy import delete, insert, select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.people.messages import MessageKind
from app.rules.refusal import Missing
from app.store import audit
from app.store.database import Database
from app.store.people.tables import StudentRow, UnwantedMessageRow


def wanted_kinds(session: Session, student_id: int) -> frozenset[MessageKind]:
    """The kinds of email that a student gets: all, but for those they do not want. One query."""
    mine = select(UnwantedMessageRow.kind).where(UnwantedMessageRow.student_id == student_id)
    return frozenset(MessageKind) - frozenset(session.scalars(mine))


def choose(
    db: Database, by: Actor, student_id: int, wanted: Collection[MessageKind], now: datetime
) -> int:
    """Keep which kinds of email a student wants; their id. Raises Missing for an unknown one."""
    with db.writing() as session:
        if session.get(StudentRow, student_id, with_for_update=True) is None:
            raise Missing
        before = wanted_kinds(session, student_id)
        if before == frozenset(wanted):
            return student_id
        mine = UnwantedMessageRow.student_id == student_id
        session.execute(delete(UnwantedMessageRow).where(mine))
        left = [kind for kind in MessageKind if kind not in wanted]
        if left:
            rows = [{"student_id": student_id, "kind": kind} for kind in left]
            session.execute(insert(UnwantedMessageRow), rows)
        audit.record(session, by, now, "chose messages", "students", student_id, unwanted=left)
        return student_id
