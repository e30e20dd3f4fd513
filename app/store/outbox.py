"""Email that is owed. A message is kept in the transaction that causes it and sent afterwards."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ColumnElement, ForeignKey
from sqlalchemy.orm import Mapped, Session, mapped_column

from app.rules.posting import IN_HAND
from app.store.columns import Base


class MessageRow(Base):
    """One email. ``sent_at`` stays empty until a mail server has taken it.

    ``claimed_at`` is set before a sender hands it in, and emptied again when the
    server said no; so a message whose fate is unknown is never sent twice.
    ``once_key`` keeps one cause from owing two messages. ``dropped_at`` is set when
    what it says is no longer so before it was sent, with the reason in ``last_error``.
    ``next_try_at`` is when a message that was put off is tried again; ``refused_at`` is
    set once it is refused for good. ``facts`` is what it says, in a form that can be
    compared with how things stand when it is sent.
    """

    __tablename__ = "messages"

    id: Mapped[int] = mapped_column(primary_key=True)
    recipient: Mapped[str]
    subject: Mapped[str]
    body: Mapped[str]
    made_at: Mapped[datetime]
    sent_at: Mapped[datetime | None] = mapped_column(index=True)
    claimed_at: Mapped[datetime | None]
    tries: Mapped[int] = mapped_column(default=0)
    last_error: Mapped[str | None]
    kind: Mapped[str] = mapped_column(default="account")
    html: Mapped[str | None]
    student_id: Mapped[int | None] = mapped_column(ForeignKey("students.id"), index=True)
    booking_id: Mapped[int | None] = mapped_column(ForeignKey("bookings.id"), index=True)
    once_key: Mapped[str | None] = mapped_column(unique=True)
    dropped_at: Mapped[datetime | None]
    refused_at: Mapped[datetime | None]
    next_try_at: Mapped[datetime | None]
    facts: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))


def is_open() -> ColumnElement[bool]:
    """Whether nothing final has become of a message."""
    return (
        MessageRow.sent_at.is_(None)
        & MessageRow.dropped_at.is_(None)
        & MessageRow.refused_at.is_(None)
    )


def waits() -> ColumnElement[bool]:
    """Whether a message is owed and in no sender's hands."""
    return is_open() & MessageRow.claimed_at.is_(None)


def was_lost(now: datetime) -> ColumnElement[bool]:
    """Whether the sender who claimed a message cannot be at it any more."""
    return MessageRow.last_error.is_not(None) | (MessageRow.claimed_at <= now - IN_HAND)


@dataclass(frozen=True, slots=True)
class About:
    """What a message is about, where that is a student's booking. See MessageRow."""

    kind: str
    student_id: int
    booking_id: int | None = None
    html: str | None = None
    once_key: str | None = None
    facts: dict[str, Any] | None = None


def post(
    session: Session,
    recipient: str,
    subject: str,
    body: str,
    now: datetime,
    about: About | None = None,
) -> None:
    """Owe an email, in the caller's transaction. Without ``about`` it is one about an account."""
    more = asdict(about) if about else {}
    session.add(MessageRow(recipient=recipient, subject=subject, body=body, made_at=now, **more))
