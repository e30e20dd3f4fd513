"""The outbox as the desk sees it: what waits, what left, and what became of the rest."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, case, func, or_, select
from sqlalchemy.orm import Session

from app.rules.people.messages import MESSAGE_WORDS, MessageKind
from app.rules.posting import AGAIN, STANDING_WORDS, Standing
from app.rules.refusal import Missing
from app.store.letterhead import Sheet, sheet
from app.store.outbox import MessageRow, was_lost
from app.store.people.tables import StudentRow

PAGE = 40
LAST = 5
"""How many messages a student's card shows."""


@dataclass(frozen=True, slots=True)
class MessageLine:
    """One message in a list. ``said`` is what a server said, or why it was not sent."""

    id: int
    made_at: datetime
    sent_at: datetime | None
    next_try_at: datetime | None
    recipient: str
    subject: str
    kind: str
    standing: Standing
    said: str
    student_id: int | None
    student: str | None

    @property
    def about(self) -> str:
        """What kind of message it is."""
        return MESSAGE_WORDS[MessageKind(self.kind)] if self.is_letter else "About an account"

    @property
    def is_letter(self) -> bool:
        """Whether it is about a student's booking, and so may be read at the desk."""
        return self.kind in list(MessageKind)

    @property
    def standing_words(self) -> str:
        """Where it stands."""
        return STANDING_WORDS[self.standing]

    @property
    def can_go_again(self) -> bool:
        """Whether the desk may decide to send it again."""
        return self.standing in AGAIN


@dataclass(frozen=True, slots=True)
class OutboxPage:
    """A page of messages, newest first, and how many of each standing there are in all."""

    messages: tuple[MessageLine, ...]
    counts: dict[Standing, int]
    page: int
    pages: int

    @property
    def total(self) -> int:
        """All messages there are."""
        return sum(self.counts.values())


@dataclass(frozen=True, slots=True)
class OneMessage:
    """A message to be read. One about an account has no sheet: its link is nobody else's."""

    line: MessageLine
    sheet: Sheet | None


def outbox_page(
    session: Session, standing: Standing | None, page: int, now: datetime
) -> OutboxPage:
    """The messages of one standing, or all. Two queries."""
    counts = _counts(session, now)
    number = counts.get(standing, 0) if standing else sum(counts.values())
    pages = max(1, -(-number // PAGE))
    page = min(max(page, 1), pages)
    query = _lines(now).limit(PAGE).offset((page - 1) * PAGE)
    if standing is not None:
        query = query.where(_standing(now) == standing.value)
    return OutboxPage(tuple(map(_line, session.execute(query))), counts, page, pages)


def to_decide(session: Session, now: datetime, since: datetime) -> int:
    """How many messages written since then were refused, or may not have left. One query."""
    words = [standing.value for standing in AGAIN]
    mine = select(func.count()).select_from(MessageRow).where(_standing(now).in_(words))
    return session.scalar(mine.where(MessageRow.made_at > since)) or 0


def messages_of(
    session: Session, student_id: int, now: datetime, most: int = LAST
) -> tuple[MessageLine, ...]:
    """The last messages to a student. One query."""
    query = _lines(now).where(MessageRow.student_id == student_id).limit(most)
    return tuple(map(_line, session.execute(query)))


def one_message(
    session: Session, message_id: int, base_url: str | None, now: datetime
) -> OneMessage:
    """One message as it leaves; Missing when there is none. One query."""
    query = _lines(now).add_columns(MessageRow).where(MessageRow.id == message_id)
    row = session.execute(query).one_or_none()
    if row is None:
        raise Missing
    line = _line(row)
    return OneMessage(line, sheet(row.MessageRow, base_url) if line.is_letter else None)


def bounced(session: Session, student_id: int) -> str | None:
    """What a server said when it refused a student's present email for good. One query.

    None once something has reached that address since.
    """
    row = session.execute(
        select(MessageRow.sent_at, MessageRow.last_error)
        .join(StudentRow, MessageRow.student_id == StudentRow.id)
        .where(StudentRow.id == student_id, MessageRow.recipient == StudentRow.email)
        .where(or_(MessageRow.refused_at.is_not(None), MessageRow.sent_at.is_not(None)))
        .order_by(MessageRow.id.desc())
        .limit(1)
    ).one_or_none()
    return None if row is None or row.sent_at is not None else row.last_error or "It said no."


def _counts(session: Session, now: datetime) -> dict[Standing, int]:
    standing = _standing(now).label("standing")
    rows = session.execute(select(standing, func.count()).group_by(standing))
    return {Standing(word): number for word, number in rows}


def _lines(now: datetime) -> Select[Any]:
    return (
        select(
            MessageRow.id,
            MessageRow.made_at,
            MessageRow.sent_at,
            MessageRow.next_try_at,
            MessageRow.recipient,
            MessageRow.subject,
            MessageRow.kind,
            _standing(now).label("standing"),
            MessageRow.last_error,
            MessageRow.student_id,
            StudentRow.name.label("student"),
        )
        .outerjoin(StudentRow, MessageRow.student_id == StudentRow.id)
        .order_by(MessageRow.id.desc())
    )


def _standing(now: datetime) -> Any:
    """:func:`app.rules.posting.standing`, asked of the database."""
    return case(
        (MessageRow.dropped_at.is_not(None), Standing.DROPPED.value),
        (MessageRow.sent_at.is_not(None), Standing.SENT.value),
        (MessageRow.refused_at.is_not(None), Standing.REFUSED.value),
        (MessageRow.claimed_at.is_(None), Standing.WAITING.value),
        (was_lost(now), Standing.UNKNOWN.value),
        else_=Standing.SENDING.value,
    )


def _line(row: Any) -> MessageLine:
    return MessageLine(
        id=row.id,
        made_at=row.made_at,
        sent_at=row.sent_at,
        next_try_at=row.next_try_at,
        recipient=row.recipient,
        subject=row.subject,
        kind=row.kind,
        standing=Standing(row.standing),
        said=row.last_error or "",
        student_id=row.student_id,
        student=row.student,
    )
