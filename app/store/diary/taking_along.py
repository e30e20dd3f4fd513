"""Those who are booked in a session, for the rules that a change of it has to meet."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.facts import BikeState, Rider
from app.store.diary.lines import takes
from app.store.diary.loading import bike_from, rider_from
from app.store.diary.tables import BookingRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow


def riders_of(session: Session, session_id: int) -> tuple[tuple[Rider, BikeState | None], ...]:
    """Each student in a session with the bike, None for their own. One query."""
    rows = session.execute(
        select(StudentRow, BikeRow)
        .select_from(BookingRow)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(BookingRow.session_id == session_id, takes())
        .order_by(BookingRow.id)
    )
    return tuple(
        (rider_from(row.StudentRow), bike_from(row.BikeRow) if row.BikeRow else None)
        for row in rows
    )
