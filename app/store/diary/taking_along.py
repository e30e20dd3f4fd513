"""Those who are booked in a session, for the rules that a change of it has to meet."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.diary.facts import BikeState, Rider
from app.rules.diary.values import TAKING_STATES
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
        .where(BookingRow.session_id == session_id, BookingRow.state.in_(TAKING_STATES))
        .order_by(BookingRow.id)
    )
    return tuple((_rider(row.StudentRow), _bike(row.BikeRow)) for row in rows)


def _rider(row: StudentRow) -> Rider:
    guarded = bool(row.guardian_name and row.guardian_phone)
    return Rider(row.name, row.category, row.date_of_birth, guarded)


def _bike(row: BikeRow | None) -> BikeState | None:
    return BikeState(row.label, row.category, row.off_road_reason) if row else None
