"""Where a booking could go, and what a course could be made of."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.diary.clock import day_of
from app.rules.diary.finding_facts import Wish
from app.rules.diary.finding_places import Place, places_in_sessions
from app.rules.diary.series import series
from app.rules.refusal import Missing
from app.store.diary import horizon
from app.store.diary.loading import rider, session_row
from app.store.diary.tables import BookingRow

AHEAD = timedelta(days=60)
"""So far ahead other places are looked for. Our own choice."""

MOST = 12


def ways(session: Session, booking_id: int, now: datetime, zone: ZoneInfo) -> tuple[Place, ...]:
    """The places that a booking could be moved to, soonest first; fifteen queries.

    They are for the same kind of session. Missing when there is no such booking.
    """
    booking = session.get(BookingRow, booking_id)
    if booking is None:
        raise Missing
    today = day_of(now, zone)
    diary = horizon.load(session, today, today + AHEAD, now, zone).without_bookings([booking_id])
    wish = Wish(
        student_id=booking.student_id,
        rider=rider(session, booking.student_id),
        kind=session_row(session, booking.session_id).kind,
        first_day=today,
        last_day=today + AHEAD,
        own_bike=booking.bike_id is None,
    )
    found = places_in_sessions(wish, diary, now, zone, MOST + 1)
    return tuple(one for one in found if one.session_id != booking.session_id)[:MOST]


def course(
    session: Session,
    wish: Wish,
    number: int,
    days_between: int,
    now: datetime,
    zone: ZoneInfo,
) -> tuple[Place, ...]:
    """A proposal for a course: so many sessions, the soonest that fit. Twelve queries."""
    diary = horizon.load(session, wish.first_day, wish.last_day, now, zone)
    return series(wish, number, days_between, diary, now, zone)
