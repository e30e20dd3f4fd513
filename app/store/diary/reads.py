"""One session, and one booking in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.rules.refusal import Missing
from app.store.diary.lines import (
    Place,
    SessionLine,
    place,
    place_query,
    session_line,
    session_query,
)
from app.store.diary.tables import BookingRow, SessionRow


@dataclass(frozen=True, slots=True)
class SessionPage:
    """One session with its bookings, and what an edit starts from."""

    line: SessionLine
    version: int
    yard_id: int
    remarks: str
    places: tuple[Place, ...]
    given_up: tuple[Place, ...]


def booked_place(session: Session, booking_id: int) -> Place:
    """One booking; Missing when there is none. One query."""
    row = session.execute(place_query().where(BookingRow.id == booking_id)).one_or_none()
    if row is None:
        raise Missing
    return place(row)


def session_page(session: Session, session_id: int, now: datetime | None = None) -> SessionPage:
    """One session with all its bookings; Missing when there is none. Two queries.

    With ``now`` a place whose hold is over counts as free.
    """
    row = session.execute(session_query(now).where(SessionRow.id == session_id)).one_or_none()
    if row is None:
        raise Missing
    places = [
        place(found)
        for found in session.execute(place_query().where(BookingRow.session_id == session_id))
    ]
    training: SessionRow = row.SessionRow
    return SessionPage(
        line=session_line(row),
        version=training.version,
        yard_id=training.yard_id,
        remarks=training.remarks,
        places=tuple(each for each in places if each.holds),
        given_up=tuple(each for each in places if not each.holds),
    )
