"""Whether a letter still says what is so, asked at the moment when it is about to be sent."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.appointments import appointment_from
from app.rules.diary.letters import why_not_so
from app.rules.people.messages import MessageKind
from app.store.diary.letter_facts import Told, told_from, told_query, unwanted
from app.store.diary.tables import BookingRow
from app.store.diary.unsent import told_in
from app.store.outbox import MessageRow
from app.store.people.tables import StudentRow


def no_longer_so(session: Session, message: MessageRow, now: datetime) -> str | None:
    """Why a message must not be sent any more, in a sentence; None when it may.

    A message that is not about bookings is always so. One whose student has another
    email on file by now is sent there. At most three queries.
    """
    if message.kind not in list(MessageKind):
        return None
    kind = MessageKind(message.kind)
    bookings = _bookings(session, told_in(message))
    student_id = bookings[0].reader.id if bookings else message.student_id
    return _unreachable(session, message, kind, student_id) or _untrue(kind, message, bookings, now)


def _bookings(session: Session, ids: Iterable[str]) -> list[Told]:
    wanted = BookingRow.id.in_([int(each) for each in ids])
    return [told_from(row) for row in session.execute(told_query().where(wanted))]


def _unreachable(
    session: Session, message: MessageRow, kind: MessageKind, student_id: int | None
) -> str | None:
    email = session.scalar(select(StudentRow.email).where(StudentRow.id == student_id))
    if student_id is None or not email:
        return "There is no email on file for them any more."
    if unwanted(session, kind, [student_id]):
        return "They chose not to get messages of this kind."
    message.recipient = email
    return None


def _untrue(
    kind: MessageKind, message: MessageRow, bookings: list[Told], now: datetime
) -> str | None:
    """The first reason against it. One that tells of several sessions holds while any of them does:
    what changed in the others is told by itself.
    """
    said = {int(each): appointment_from(plain) for each, plain in told_in(message).items()}
    reasons = [
        why_not_so(kind, one.state, said[one.booking_id], one.appointment, one.held_until, now)
        for one in bookings
    ]
    return reasons[0] if reasons and all(reasons) else None
