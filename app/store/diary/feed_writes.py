"""Making and revoking the secret addresses of calendars."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.feeds import FeedOwner
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit, settings
from app.store.accounts.hashing import new_token, token_hash
from app.store.database import Database, Lock
from app.store.diary.feed_addresses import open_feeds
from app.store.diary.tables import CalendarFeedRow
from app.store.once import once
from app.store.people.reads import student_row
from app.store.people.tables import InstructorRow


@dataclass(frozen=True, slots=True)
class MadeFeed:
    """An address that was made. ``secret`` is None when the same form had made it before."""

    feed_id: int
    secret: str | None


def make_feed(db: Database, by: Actor, owner: FeedOwner, key: UUID, now: datetime) -> MadeFeed:
    """Make a new address for a calendar, which ends the one before; once for one form.

    Only a digest of the secret is kept. Raises Missing for an unknown student or instructor,
    Refused for one who teaches here no more.
    """
    secrets: list[str] = []

    def make() -> int:
        _check(session, owner)
        _school_key(session)
        _end(session, by, owner, now)
        secrets.append(new_token())
        return _new(session, by, owner, secrets[0], now)

    with db.writing(Lock.DIARY) as session:
        made = once(session, key, now, make)
    return MadeFeed(made, secrets[0] if secrets else None)


def _check(session: Session, owner: FeedOwner) -> None:
    if owner.student_id is not None:
        student_row(session, owner.student_id)
    if owner.instructor_id is not None:
        row = session.get(InstructorRow, owner.instructor_id)
        if row is None:
            raise Missing
        if not row.active:
            raise Refused(Reason(f"{row.name} does not teach here now."))


def _school_key(session: Session) -> None:
    """Make the key from which the ids of all events follow, with the school's first address."""
    if not settings.load(session).calendar_key:
        settings.keep(session, "calendar_key", str(uuid4()))


def _new(session: Session, by: Actor, owner: FeedOwner, secret: str, now: datetime) -> int:
    row = CalendarFeedRow(
        digest=token_hash(secret),
        student_id=owner.student_id,
        instructor_id=owner.instructor_id,
        made_at=now,
        made_by=by.account_id,
    )
    session.add(row)
    session.flush()
    whose = {"student": owner.student_id, "instructor": owner.instructor_id}
    audit.record(session, by, now, "made address", "calendar_feeds", row.id, **whose)
    return row.id


def revoke_feed(db: Database, by: Actor, owner: FeedOwner, now: datetime) -> int:
    """End the address of a calendar at once; how many were open."""
    with db.writing(Lock.DIARY) as session:
        return _end(session, by, owner, now)


def _end(session: Session, by: Actor, owner: FeedOwner, now: datetime) -> int:
    rows = session.scalars(select(CalendarFeedRow).where(open_feeds(owner))).all()
    for row in rows:
        row.revoked_at, row.revoked_by = now, by.account_id
        audit.record(session, by, now, "revoked address", "calendar_feeds", row.id)
    return len(rows)
