"""Handing owed email to a mail server, each message at most once."""

from __future__ import annotations

import smtplib
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from email.message import EmailMessage
from email.utils import format_datetime

from sqlalchemy import func, select, update

from app.config import Smtp
from app.store.database import Database
from app.store.outbox import MessageRow

_SECONDS = 20
_MOST_TRIES = 10
_SAID_NO = (
    smtplib.SMTPResponseException,
    smtplib.SMTPRecipientsRefused,
    smtplib.SMTPNotSupportedError,
)


class CannotSend(Exception):
    """The mail server cannot be reached or does not let us in. Nothing was handed over."""


@dataclass(frozen=True, slots=True)
class Round:
    """What became of the messages of one round.

    ``unknown`` messages were handed over when the line broke. They are not tried
    again, since the server may have taken them.
    """

    sent: int = 0
    refused: int = 0
    unknown: int = 0


def send_owed(db: Database, smtp: Smtp, sender: str, now: datetime) -> Round:
    """Send what is owed, oldest first. Raises CannotSend when there is no server to send with.

    Each message is claimed in a transaction of its own before it is handed over,
    so two senders at the same moment do not send it twice.
    """
    owed = _owed(db)
    words: list[str] = []
    if owed:
        with _server(smtp) as server:
            for message_id in owed:
                message = _claim(db, message_id, now)
                if message is not None:
                    words.append(_hand_over(db, server, message, sender, now))
                if words[-1:] == ["unknown"]:
                    break  # the line is gone
    return Round(words.count("sent"), words.count("refused"), words.count("unknown"))


def stuck(db: Database) -> int:
    """How many messages were claimed and never reported as sent or refused."""
    with db.reading() as session:
        claimed = MessageRow.claimed_at.is_not(None) & MessageRow.sent_at.is_(None)
        return session.scalar(select(func.count()).select_from(MessageRow).where(claimed)) or 0


def _owed(db: Database) -> list[int]:
    with db.reading() as session:
        return list(
            session.scalars(
                select(MessageRow.id)
                .where(MessageRow.sent_at.is_(None), MessageRow.claimed_at.is_(None))
                .where(MessageRow.tries < _MOST_TRIES)
                .order_by(MessageRow.id)
            )
        )


def _claim(db: Database, message_id: int, now: datetime) -> MessageRow | None:
    """Take a message for this sender; None when another sender has it."""
    with db.writing() as session:
        return session.scalars(
            update(MessageRow)
            .where(MessageRow.id == message_id, MessageRow.claimed_at.is_(None))
            .where(MessageRow.sent_at.is_(None))
            .values(claimed_at=now, tries=MessageRow.tries + 1)
            .returning(MessageRow)
        ).first()


def _hand_over(
    db: Database, server: smtplib.SMTP, message: MessageRow, sender: str, now: datetime
) -> str:
    try:
        server.send_message(_written(message, sender, now))
    except (smtplib.SMTPServerDisconnected, OSError) as error:
        # SMTPException is an OSError: what the server itself refused is told apart by its kind.
        refused = isinstance(error, _SAID_NO)
        word = "refused" if refused else "unknown"
        _note(db, message.id, claimed_at=None if refused else now, last_error=str(error)[:500])
        return word
    _note(db, message.id, sent_at=now, last_error=None)
    return "sent"


def _note(db: Database, message_id: int, **values: object) -> None:
    with db.writing() as session:
        session.execute(update(MessageRow).where(MessageRow.id == message_id).values(**values))


def _written(message: MessageRow, sender: str, now: datetime) -> EmailMessage:
    letter = EmailMessage()
    letter["From"] = sender
    letter["To"] = message.recipient
    letter["Subject"] = message.subject
    letter["Date"] = format_datetime(now)
    letter["Message-ID"] = f"<message-{message.id}@{sender.rpartition('@')[2]}>"
    letter["Auto-Submitted"] = "auto-generated"  # RFC 3834
    letter.set_content(message.body)
    return letter


@contextmanager
def _server(smtp: Smtp) -> Iterator[smtplib.SMTP]:
    try:
        server = _connect(smtp)
    except (smtplib.SMTPException, OSError) as error:
        raise CannotSend(f"The mail server {smtp.host}:{smtp.port} says: {error}") from error
    try:
        yield server
    finally:
        server.close()


def _connect(smtp: Smtp) -> smtplib.SMTP:
    if smtp.security == "tls":
        context = ssl.create_default_context()
        server: smtplib.SMTP = smtplib.SMTP_SSL(
            smtp.host, smtp.port, timeout=_SECONDS, context=context
        )
    else:
        server = smtplib.SMTP(smtp.host, smtp.port, timeout=_SECONDS)
    if smtp.security == "starttls":
        server.starttls(context=ssl.create_default_context())
    if smtp.user:
        server.login(smtp.user, smtp.password or "")
    return server
