"""What the desk decides about a message whose fate is not known, or that was refused."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.posting import AGAIN, Marks, standing
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit
from app.store.database import Database
from app.store.outbox import MessageRow

LEFT_AT_THAT = "The desk left it at that."


def send_again(db: Database, by: Actor, message_id: int, now: datetime) -> int:
    """Owe a message once more; its id. It keeps its Message-ID, so a mailbox may know it again.

    Raises Missing for an unknown one, Refused for one that waits, was sent or was dropped.
    """
    with db.writing() as session:
        message = _open(session, message_id, now)
        message.claimed_at = message.refused_at = message.next_try_at = None
        message.tries, message.last_error = 0, None
        audit.record(session, by, now, "sent again", "messages", message_id)
        return message_id


def leave(db: Database, by: Actor, message_id: int, now: datetime) -> int:
    """Let a message be, so that it is not asked about any more; its id. Raises as send_again."""
    with db.writing() as session:
        message = _open(session, message_id, now)
        message.dropped_at = now
        message.last_error = f"{LEFT_AT_THAT} {message.last_error or ''}".strip()
        audit.record(session, by, now, "left", "messages", message_id)
        return message_id


def _open(session: Session, message_id: int, now: datetime) -> MessageRow:
    """A message that the desk may decide about, with nobody else at it until the end."""
    message = session.get(MessageRow, message_id, with_for_update=True)
    if message is None:
        raise Missing
    if standing(marks_of(message), now) not in AGAIN:
        raise Refused(Reason("This message waits, was sent, or was dropped before. Look again."))
    return message


def marks_of(message: MessageRow) -> Marks:
    """What is noted on a message, for :func:`app.rules.posting.standing`."""
    return Marks(
        sent_at=message.sent_at,
        dropped_at=message.dropped_at,
        refused_at=message.refused_at,
        claimed_at=message.claimed_at,
        trouble=message.last_error is not None,
    )
