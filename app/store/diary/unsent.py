"""Letters about bookings on their way into the outbox, and out of it while they are unsent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, or_, select
from sqlalchemy.orm import Session

from app.rules.diary.appointments import Appointment, appointment_from
from app.rules.letters import Letter, as_text
from app.rules.people.messages import MessageKind
from app.store import outbox
from app.store.diary.letter_facts import Reader, Told
from app.store.letterhead import as_html
from app.store.outbox import About, MessageRow, waits


@dataclass(frozen=True, slots=True)
class Unsent:
    """What is owed about one booking and no sender has taken: its own, and its course's."""

    own: tuple[MessageRow, ...]
    course: tuple[MessageRow, ...]

    @property
    def confirms(self) -> bool:
        """Whether the student has not been told in writing that they are booked."""
        return any(row.kind == MessageKind.CONFIRMATION for row in (*self.own, *self.course))

    def first_told(self, before: Appointment) -> Appointment:
        """What the booking was before the first change that was not told yet."""
        changes = [row.facts for row in self.own if row.kind == MessageKind.CHANGE and row.facts]
        return appointment_from(changes[0]["was"]) if changes else before


def unsent_of(session: Session, one: Told) -> Unsent:
    """What is owed about a booking. One query; no sender takes any of it until the end."""
    rows = session.scalars(
        select(MessageRow)
        .where(waits(), or_(MessageRow.booking_id == one.booking_id, _of_course(one)))
        .order_by(MessageRow.id)
        .with_for_update()
    ).all()
    course = [row for row in rows if row.booking_id is None and str(one.booking_id) in told_in(row)]
    return Unsent(tuple(row for row in rows if row.booking_id is not None), tuple(course))


def _of_course(one: Told) -> ColumnElement[bool]:
    return and_(MessageRow.booking_id.is_(None), MessageRow.student_id == one.reader.id)


def was_offered(session: Session, booking_id: int) -> bool:
    """Whether a message offered this very place, sent or not. One query."""
    about = (MessageRow.booking_id == booking_id, MessageRow.kind == MessageKind.OFFER)
    return session.scalar(select(MessageRow.id).where(*about).limit(1)) is not None


def told_in(row: MessageRow) -> dict[str, Any]:
    """The bookings that a message tells of, as it tells them, by their ids in words."""
    bookings: dict[str, Any] = (row.facts or {}).get("bookings", {})
    return bookings


def drop(unsent: Unsent, now: datetime, reason: str) -> None:
    """Let messages go unsent, and say why. What they were owed for may be owed again."""
    for row in (*unsent.own, *unsent.course):
        row.dropped_at, row.last_error, row.once_key = now, reason, None


def owe(
    session: Session,
    kind: MessageKind,
    reader: Reader,
    letter: Letter,
    now: datetime,
    about: Sequence[Told],
    was: Appointment | None = None,
    once_key: str | None = None,
) -> None:
    """Put a letter about one booking, or about those of a course, into the outbox."""
    if not reader.email:
        return
    told = {str(one.booking_id): one.appointment.plain() for one in about}
    more = About(
        kind=kind,
        student_id=reader.id,
        booking_id=about[0].booking_id if len(about) == 1 else None,
        html=as_html(letter),
        once_key=once_key,
        facts={"bookings": told, "was": was and was.plain(), "own_page": reader.own_page},
    )
    outbox.post(session, reader.email, letter.subject, as_text(letter), now, more)
