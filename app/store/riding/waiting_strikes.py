"""Rides that were struck out before they arrived."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import exists, or_, select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor, Role
from app.rules.riding.handed_in import NewStrike
from app.rules.riding.recording import Word
from app.store import audit
from app.store.accounts.tables import AccountRoleRow, AccountRow
from app.store.diary.tables import SessionRow
from app.store.people.tables import InstructorRow
from app.store.riding.tables import AttemptRow, PendingStrikeRow


def keep_waiting(session: Session, by: Actor, item: NewStrike, now: datetime) -> Word:
    """Keep a strike until its ride comes. Only someone with an account can leave one."""
    if session.get(PendingStrikeRow, (item.ride_id, by.account_id)) is not None:
        return Word.ALREADY_HAD
    session.add(
        PendingStrikeRow(
            ride_id=item.ride_id, account_id=by.account_id, reason=item.reason, received_at=now
        )
    )
    session.flush()
    return Word.SAVED


def apply_waiting(session: Session, ride: AttemptRow, now: datetime) -> None:
    """Strike out a ride that has just been kept, if someone who may has done so before it came."""
    query = select(PendingStrikeRow).where(PendingStrikeRow.ride_id == ride.id)
    for waiting in session.scalars(query.order_by(PendingStrikeRow.received_at)).all():
        who = _who_may(session, waiting.account_id, ride.session_id)
        if who is not None and ride.struck_at is None:
            ride.struck_at, ride.struck_by = now, waiting.account_id
            ride.struck_reason = waiting.reason
            by = Actor(waiting.account_id, who, frozenset(), "a tablet's queue")
            audit.record(session, by, now, "struck out", "attempts", ride.id)
        session.delete(waiting)
    session.flush()


def _who_may(session: Session, account_id: int, session_id: int) -> str | None:
    """The name behind an account that may record in the session; None when it may not."""
    owns = exists().where(
        AccountRoleRow.account_id == AccountRow.id, AccountRoleRow.role == Role.OWNER
    )
    teaches = exists().where(
        InstructorRow.account_id == AccountRow.id,
        InstructorRow.id == SessionRow.instructor_id,
        SessionRow.id == session_id,
    )
    found = select(AccountRow.name).where(AccountRow.id == account_id, or_(owns, teaches))
    return session.scalars(found).one_or_none()
