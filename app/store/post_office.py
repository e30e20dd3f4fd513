"""Handing owed email to a mail server, each message at most once."""

from __future__ import annotations

import smtplib
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, func, select, update
from sqlalchemy.orm import Session

from app.config import Smtp
from app.rules.posting import next_try
from app.rules.settings import SchoolSettings
from app.store import settings
from app.store.database import Database
from app.store.letterhead import sheet
from app.store.mail_line import Answer, Fate, hand_in, line_to
from app.store.mail_line import CannotSend as CannotSend
from app.store.mail_writing import From, Unwritable, from_words, wire_address, written
from app.store.outbox import MessageRow, is_open, waits, was_lost

Check = Callable[[Session, MessageRow, datetime], str | None]
"""Asked of each message in the transaction that claims it: why it must not be sent any more."""

_DROPPED, _UNTOUCHED = "dropped", "untouched"


@dataclass(frozen=True, slots=True)
class Office:
    """What a sender works with: the server, whom email is from, and the school's address."""

    smtp: Smtp
    sender: str
    base_url: str | None = None


@dataclass(frozen=True, slots=True)
class Round:
    """What became of the messages of one round.

    ``refused`` is for good, ``put_off`` for now. ``unknown`` messages were handed over
    when the line broke. They are not tried again, since the server may have taken them.
    ``dropped`` ones no longer said what is so. ``trouble`` is why a round ended early.
    """

    sent: int = 0
    refused: int = 0
    put_off: int = 0
    unknown: int = 0
    dropped: int = 0
    trouble: str = ""


def as_written(_session: Session, _message: MessageRow, _now: datetime) -> str | None:
    """The check of a sender that takes every message as it stands."""
    return None


def send_owed(db: Database, office: Office, now: datetime, check: Check = as_written) -> Round:
    """Send what is owed, oldest first. Raises CannotSend when there is no server to send with.

    Each message is claimed in a transaction of its own before it is handed over,
    so two senders at the same moment do not send it twice. ``check`` is asked in the
    same transaction, and what it speaks against is dropped.
    """
    owed = _owed(db, now)
    if not owed:
        return Round()
    with db.reading() as session:
        school = settings.load(session)
    sender = _from(office, school)
    with line_to(office.smtp) as server:
        return _Sending(db, office, server, sender, now, check).all(owed)


def _from(office: Office, school: SchoolSettings) -> From:
    """The sender; a wrong one is no message's fault, so it ends the round before it begins."""
    sender = from_words(office.sender, school.school_name, school.school_email)
    try:
        wire_address(sender.address)
    except Unwritable as why:
        raise CannotSend(f"Email cannot be sent from YARDMARK_MAIL_FROM: {why}") from why
    return sender


@dataclass(frozen=True, slots=True)
class _Sending:
    """One round over one line."""

    db: Database
    office: Office
    server: smtplib.SMTP
    sender: From
    now: datetime
    check: Check

    def all(self, owed: Iterable[int]) -> Round:
        """Send each, until the line is gone."""
        words: Counter[str] = Counter()
        for message_id in owed:
            message = _claim(self.db, message_id, self.now, self.check)
            if message is not None:
                word, trouble = self._become(message)
                words[word] += 1
                if trouble:
                    return _round(words, trouble)
        return _round(words)

    def _become(self, message: MessageRow) -> tuple[str, str]:
        """What becomes of a claimed message, and what trouble ends the round with it."""
        if message.dropped_at is not None:
            return _DROPPED, ""
        try:
            answer = self._one(message)
        except CannotSend as gone:
            _note(self.db, message, claimed_at=None, tries=message.tries - 1)
            return _UNTOUCHED, str(gone)
        again = next_try(message.made_at, message.tries, self.now)
        if answer.fate is Fate.PUT_OFF and again is None:
            answer = Answer(Fate.REFUSED, answer.said)
        _note(self.db, message, **_marks(answer, again, self.now))
        return answer.fate, answer.said if answer.fate is Fate.UNKNOWN else ""

    def _one(self, message: MessageRow) -> Answer:
        try:
            letter = written(message, sheet(message, self.office.base_url), self.sender)
            addresses = wire_address(self.sender.address), wire_address(message.recipient)
        except Unwritable as why:
            return Answer(Fate.REFUSED, str(why))
        return hand_in(self.server, letter, *addresses)


def _round(words: Counter[str], trouble: str = "") -> Round:
    return Round(
        sent=words[Fate.SENT],
        refused=words[Fate.REFUSED],
        put_off=words[Fate.PUT_OFF],
        unknown=words[Fate.UNKNOWN],
        dropped=words[_DROPPED],
        trouble=trouble,
    )


def stuck(db: Database, now: datetime) -> int:
    """How many messages were claimed and never reported as sent or refused. One query."""
    with db.reading() as session:
        query = select(func.count()).select_from(MessageRow).where(is_open(), was_lost(now))
        return session.scalar(query.where(MessageRow.claimed_at.is_not(None))) or 0


def waiting(db: Database) -> int:
    """How many messages are owed and in no sender's hands. One query."""
    with db.reading() as session:
        return session.scalar(select(func.count(MessageRow.id)).where(waits())) or 0


def _due(now: datetime) -> ColumnElement[bool]:
    paused = MessageRow.next_try_at.is_(None) | (MessageRow.next_try_at <= now)
    return waits() & paused


def _owed(db: Database, now: datetime) -> list[int]:
    with db.reading() as session:
        return list(session.scalars(select(MessageRow.id).where(_due(now)).order_by(MessageRow.id)))


def _claim(db: Database, message_id: int, now: datetime, check: Check) -> MessageRow | None:
    """Take a message for this sender, or drop it; None when another sender has it."""
    with db.writing() as session:
        message = session.scalars(
            update(MessageRow)
            .where(MessageRow.id == message_id, _due(now))
            .values(claimed_at=now, last_error=None, tries=MessageRow.tries + 1)
            .returning(MessageRow)
        ).first()
        if message is not None and (reason := check(session, message, now)):
            message.dropped_at, message.last_error = now, reason
            message.claimed_at, message.once_key = None, None
        return message


def _marks(answer: Answer, again: datetime | None, now: datetime) -> dict[str, Any]:
    """What is noted on a message after an answer; ``again`` is when it is tried once more."""
    if answer.fate is Fate.SENT:
        return {"sent_at": now, "last_error": None}
    if answer.fate is Fate.PUT_OFF:
        return {"claimed_at": None, "next_try_at": again, "last_error": answer.said}
    if answer.fate is Fate.REFUSED:
        return {"claimed_at": None, "refused_at": now, "last_error": answer.said}
    return {"last_error": answer.said}


def _note(db: Database, message: MessageRow, **values: Any) -> None:
    with db.writing() as session:
        session.execute(update(MessageRow).where(MessageRow.id == message.id).values(**values))
