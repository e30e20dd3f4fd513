"""The safety check before a session's first ride, and the conditions that it was ridden in."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.clock import day_of
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit, settings
from app.store.database import Database, Lock
from app.store.diary.tables import SessionRow
from app.store.riding.around import Conditions, load_around
from app.store.riding.recording import may_record
from app.store.riding.safety_tables import SafetyCheckRow

_BEFORE = Reason("This session is on a later day. Say how it is on the day itself.")
_NO_SURFACE = Reason("Choose how the surface is.", "surface")


def is_checked(session: Session, session_id: int) -> bool:
    """Whether the safety check of a session was confirmed: one query."""
    return session.get(SafetyCheckRow, session_id) is not None


def confirm(db: Database, by: Actor, session_id: int, found: Conditions, now: datetime) -> int:
    """Confirm the checks of a session, with the conditions found; the session's id.

    Once is enough: what was confirmed first stands, with its time and person.
    Raises Refused on a day before the session and without a surface, Missing
    for a session that is not this person's.
    """
    with db.writing(Lock.DIARY) as session:
        row = _on_the_day(session, by, session_id, now)
        if found.surface is None:
            raise Refused(_NO_SURFACE)
        if session.get(SafetyCheckRow, session_id) is not None:
            return session_id
        _say(session, by, row, found, now)
        words = list(load_around(session, session_id, None).checks)
        session.add(
            SafetyCheckRow(
                session_id=session_id, confirmed_by=by.account_id, confirmed_at=now, checks=words
            )
        )
        audit.record(session, by, now, "confirmed safety", "training_sessions", session_id)
        return session_id


def say_conditions(
    db: Database, by: Actor, session_id: int, found: Conditions, now: datetime
) -> int:
    """Say how it is in the yard; the session's id. Refused and Missing as for a check."""
    with db.writing(Lock.DIARY) as session:
        row = _on_the_day(session, by, session_id, now)
        if found.surface is None:
            raise Refused(_NO_SURFACE)
        _say(session, by, row, found, now)
        return session_id


def _on_the_day(session: Session, by: Actor, session_id: int, now: datetime) -> SessionRow:
    row = session.get(SessionRow, session_id)
    if row is None or row.cancelled_at is not None or not may_record(by, row):
        raise Missing(f"session {session_id}")
    zone = ZoneInfo(settings.load(session).time_zone)
    if day_of(row.starts_at, zone) > day_of(now, zone):
        raise Refused(_BEFORE)
    return row


def _say(session: Session, by: Actor, row: SessionRow, found: Conditions, now: datetime) -> None:
    """Keep the conditions. The desk's version stays: it plans the session, this is how it went."""
    before = Conditions(row.surface, row.windy, row.surface_remark)
    if before == found:
        return
    row.surface, row.windy, row.surface_remark = found.surface, found.windy, found.remark
    surfaces = [each.surface.value if each.surface else None for each in (before, found)]
    audit.record(
        session, by, now, "said conditions", "training_sessions", row.id,
        surface=surfaces, windy=[before.windy, found.windy],
    )  # fmt: skip
