"""The waiting list, as the desk reads it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, and_, select
from sqlalchemy.orm import Session, aliased

from app.rules.diary.values import ON_THE_LIST, OfferState
from app.rules.diary.waiting import WaitingWish
from app.rules.diary.words import KINDS
from app.store.diary.tables import BookingRow, OfferRow, SessionRow, WaitingRow
from app.store.people.tables import StudentRow


@dataclass(frozen=True, slots=True)
class Offered:
    """The place that is held for somebody who waits."""

    booking_id: int
    version: int
    session_id: int
    starts_at: datetime
    held_until: datetime | None


@dataclass(frozen=True, slots=True)
class WaitingLine:
    """One request on the list; ``session_at`` is when the one session is that they wait for."""

    id: int
    version: int
    student: str
    phone: str | None
    wish: WaitingWish
    asked_at: datetime
    session_at: datetime | None
    offered: Offered | None

    @property
    def kind_words(self) -> str:
        """What they wait for."""
        return KINDS[self.wish.kind]


def waiting_list(session: Session, student_id: int | None = None) -> tuple[WaitingLine, ...]:
    """Who waits or is being offered a place, first come first; of one student alone. One query."""
    query = _query().where(WaitingRow.state.in_(ON_THE_LIST))
    if student_id is not None:
        query = query.where(WaitingRow.student_id == student_id)
    return tuple(_line(row) for row in session.execute(query))


def _query() -> Select[Any]:
    asked = aliased(SessionRow)
    open_offer = and_(OfferRow.waiting_id == WaitingRow.id, OfferRow.state == OfferState.OPEN)
    return (
        select(WaitingRow, StudentRow.name, StudentRow.phone, BookingRow)
        .add_columns(asked.starts_at.label("session_at"))
        .join(StudentRow, WaitingRow.student_id == StudentRow.id)
        .outerjoin(asked, WaitingRow.session_id == asked.id)
        .outerjoin(OfferRow, open_offer)
        .outerjoin(BookingRow, OfferRow.booking_id == BookingRow.id)
        .order_by(WaitingRow.asked_at, WaitingRow.id)
    )


def _line(row: Any) -> WaitingLine:
    waiting: WaitingRow = row.WaitingRow
    return WaitingLine(
        id=waiting.id,
        version=waiting.version,
        student=row.name,
        phone=row.phone,
        wish=wish_from(waiting),
        asked_at=waiting.asked_at,
        session_at=row.session_at,
        offered=_offered(row.BookingRow) if row.BookingRow else None,
    )


def _offered(booking: BookingRow) -> Offered:
    return Offered(
        booking.id, booking.version, booking.session_id, booking.starts_at, booking.held_until
    )


def wish_from(waiting: WaitingRow) -> WaitingWish:
    """What somebody on the list waits for, as the rules are told of it."""
    return WaitingWish(
        student_id=waiting.student_id,
        kind=waiting.kind,
        earliest=waiting.earliest,
        latest=waiting.latest,
        weekdays=frozenset(int(digit) for digit in waiting.weekdays),
        begins=waiting.begins,
        ends=waiting.ends,
        own_bike=waiting.own_bike,
        session_id=waiting.session_id,
    )
