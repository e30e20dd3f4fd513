"""Reminding students of a session the day before, each once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary import letters as words
from app.rules.diary.letters import reminder_from
from app.rules.diary.values import BookingState
from app.rules.people.messages import MessageKind
from app.rules.settings import SchoolSettings
from app.store import settings
from app.store.database import Database, Lock
from app.store.diary.letter_facts import Told, sender_from, told_from, told_query, unwanted
from app.store.diary.loading import zone_of
from app.store.diary.tables import BookingRow, SessionRow
from app.store.diary.unsent import owe, told_in
from app.store.outbox import MessageRow
from app.store.people.tables import StudentRow

_AHEAD = timedelta(hours=50)
"""More than the longest time from the start of one day to the end of the next, clocks included."""

_LONG_AGO = datetime.min.replace(tzinfo=UTC)


def reminders_due(db: Database, now: datetime) -> int:
    """Owe a reminder of each session that is due one at ``now``; how many are owed.

    Due is from the school's hour on the day before until the session begins, so that
    one which was missed is still made up for. Whoever was sent a confirmation within
    that time knows all that a reminder says, and gets none. However often this runs,
    one booking at one time is reminded of once. It reads by a fixed number of queries.
    """
    made = 0
    with db.writing(Lock.DIARY) as session:
        school = settings.load(session)
        letterhead = sender_from(school)
        due = {one: _from(one, school) for one in _coming(session, now)}
        for one in _left(session, {one: at for one, at in due.items() if at <= now}, now):
            letter = words.reminder(letterhead, one.reader.name, one.appointment)
            key = once_key(one.booking_id, one.appointment.starts_at)
            owe(session, MessageKind.REMINDER, one.reader, letter, now, (one,), once_key=key)
            made += 1
    return made


def once_key(booking_id: int, starts_at: datetime) -> str:
    """What keeps one booking at one time from being reminded of twice."""
    return f"reminder:{booking_id}:{starts_at.astimezone(UTC).isoformat()}"


def _from(one: Told, school: SchoolSettings) -> datetime:
    return reminder_from(one.appointment.starts_at, school.reminder_hour, zone_of(school))


def _coming(session: Session, now: datetime) -> list[Told]:
    """Those who are booked in the next two days, and could get an email."""
    query = (
        told_query()
        .where(BookingRow.state == BookingState.BOOKED, StudentRow.email.is_not(None))
        .where(SessionRow.starts_at > now, SessionRow.starts_at < now + _AHEAD)
        .order_by(SessionRow.starts_at, BookingRow.id)
    )
    return [told_from(row) for row in session.execute(query)]


def _left(session: Session, due: Mapping[Told, datetime], now: datetime) -> list[Told]:
    """Those who want a reminder, have had none, and were not just told all that it says."""
    silent = unwanted(session, MessageKind.REMINDER, (one.reader.id for one in due))
    keys = {once_key(one.booking_id, one.appointment.starts_at): one for one in due}
    had = set(session.scalars(select(MessageRow.once_key).where(MessageRow.once_key.in_(keys))))
    confirmed = _confirmed(session, due, now)
    return [
        one
        for key, one in keys.items()
        if key not in had
        and one.reader.id not in silent
        and confirmed.get(one.booking_id, _LONG_AGO) < due[one]
    ]


def _confirmed(session: Session, due: Iterable[Told], now: datetime) -> dict[int, datetime]:
    """When bookings were last confirmed in writing, of those confirmed in the last two days."""
    rows = session.scalars(
        select(MessageRow)
        .where(MessageRow.student_id.in_({one.reader.id for one in due}))
        .where(MessageRow.kind == MessageKind.CONFIRMATION, MessageRow.made_at > now - _AHEAD)
        .where(MessageRow.dropped_at.is_(None), MessageRow.refused_at.is_(None))
        .order_by(MessageRow.made_at)
    )
    return {int(booking): row.made_at for row in rows for booking in told_in(row)}
