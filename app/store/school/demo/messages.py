"""Email in the demo school: what was written about the next sessions, and what became of it."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.values import BookingState
from app.store.diary import letters
from app.store.diary.tables import BookingRow
from app.store.outbox import MessageRow

MOST = 20
WAITING = 3
"""How many of the last ones wait still."""

_TAKEN_AFTER = timedelta(minutes=1)
_NOBODY = "The mail server does not take email to {}: 550 5.1.1 No such mailbox here"


def write(session: Session, now: datetime) -> None:
    """Write the confirmations of the next sessions as the app does; the oldest one comes back."""
    coming = session.execute(
        select(BookingRow.id, BookingRow.booked_at)
        .where(BookingRow.state == BookingState.BOOKED, BookingRow.starts_at > now)
        .order_by(BookingRow.starts_at, BookingRow.id)
        .limit(MOST)
    ).all()
    for booking_id, booked_at in sorted(coming, key=lambda one: (one.booked_at, one.id)):
        letters.booked(session, booking_id, booked_at)
    written = session.scalars(select(MessageRow).order_by(MessageRow.id)).all()
    for place, message in enumerate(written[:-WAITING]):
        _deal_with(message, comes_back=place == 0)


def _deal_with(message: MessageRow, *, comes_back: bool) -> None:
    message.tries = 1
    if comes_back:
        message.refused_at = message.made_at + _TAKEN_AFTER
        message.last_error = _NOBODY.format(message.recipient)
    else:
        message.sent_at = message.made_at + _TAKEN_AFTER
