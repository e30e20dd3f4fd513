"""Who waits is offered what becomes free, in the order in which they asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor, system
from app.rules.diary.clock import day_of
from app.rules.diary.finding_facts import MOST_DAYS, Horizon
from app.rules.diary.finding_places import places_in_sessions
from app.rules.diary.holding import hold_end
from app.rules.diary.values import (
    ON_THE_LIST,
    BookingState,
    GivenUpFor,
    OfferState,
    SessionKind,
    WaitingState,
)
from app.rules.diary.waiting import as_search, is_met
from app.store import audit, settings
from app.store.diary import horizon, letters
from app.store.diary.loading import riders, school_zone, zone_of
from app.store.diary.places import WantedPlace, give_up, take
from app.store.diary.tables import BookingRow, OfferRow, SessionRow, WaitingRow
from app.store.diary.waiting_reads import wish_from

TIME = system("waiting list")
"""Who ends a hold that is over and offers a free place: nobody, time does."""


def lapse(session: Session, now: datetime) -> int:
    """End the holds whose time is over, and the waiting whose days are; how many holds ended."""
    over = session.scalars(
        select(BookingRow)
        .where(BookingRow.state == BookingState.HELD, BookingRow.held_until <= now)
        .order_by(BookingRow.held_until, BookingRow.id)
    ).all()
    for booking in over:
        give_up(booking, TIME, GivenUpFor.HOLD_OVER, now)
        audit.record(session, TIME, now, "hold ended", "bookings", booking.id)
    session.flush()
    for booking in over:
        close_offer(session, TIME, booking.id, OfferState.LAPSED, now)
        letters.cancelled(session, booking.id, now)
    _end_waiting(session, now)
    return len(over)


def _end_waiting(session: Session, now: datetime) -> None:
    waiting = select(WaitingRow).where(WaitingRow.state == WaitingState.WAITING)
    for row in session.scalars(
        waiting.where(WaitingRow.latest < day_of(now, school_zone(session)))
    ):
        stands(session, TIME, row, WaitingState.OVER, now)


def stands(
    session: Session, by: Actor, row: WaitingRow, state: WaitingState, now: datetime
) -> None:
    """Have somebody on the list stand otherwise than before, with the audit."""
    row.state = state
    row.version += 1
    audit.record(session, by, now, state.value, "waiting", row.id, student=row.student_id)


def close_offer(
    session: Session, by: Actor, booking_id: int, came_of_it: OfferState, now: datetime
) -> None:
    """Say what came of the offer behind a booking, if there is one that is open."""
    asked = select(OfferRow).where(OfferRow.booking_id == booking_id)
    offer = session.scalars(asked.where(OfferRow.state == OfferState.OPEN)).first()
    if offer is None:
        return
    offer.state = came_of_it
    waiting = session.get_one(WaitingRow, offer.waiting_id)
    placed = came_of_it is OfferState.TAKEN
    stands(session, by, waiting, WaitingState.PLACED if placed else WaitingState.WAITING, now)


def place_waiting(
    session: Session, by: Actor, session_id: int, student_id: int, now: datetime
) -> None:
    """Take off the list a student who has been booked into what they wait for."""
    row = session.get_one(SessionRow, session_id)
    day = day_of(row.starts_at, school_zone(session))
    mine = select(WaitingRow).where(WaitingRow.student_id == student_id)
    for one in session.scalars(mine.where(WaitingRow.state.in_(ON_THE_LIST))).all():
        if is_met(wish_from(one), row.id, row.kind, day):
            if one.state is WaitingState.OFFERED:
                let_go(session, by, one, now)
            stands(session, by, one, WaitingState.PLACED, now)


def let_go(session: Session, by: Actor, row: WaitingRow, now: datetime) -> None:
    """Give up what is held for somebody who has got another place."""
    offered = select(OfferRow).where(OfferRow.waiting_id == row.id)
    for offer in session.scalars(offered.where(OfferRow.state == OfferState.OPEN)).all():
        booking = session.get_one(BookingRow, offer.booking_id)
        offer.state = OfferState.DECLINED
        give_up(booking, by, GivenUpFor.STUDENT, now)
        audit.record(session, by, now, "let go", "bookings", booking.id)
        session.flush()
        letters.cancelled(session, booking.id, now)


def came_by_moving(
    session: Session, by: Actor, session_id: int, student_id: int, now: datetime
) -> None:
    """Take off the list a student who was moved into the very session they wait for.

    Who waits for any session of a kind may want it beside the one they were moved to.
    """
    mine = select(WaitingRow).where(
        WaitingRow.student_id == student_id,
        WaitingRow.session_id == session_id,
        WaitingRow.state == WaitingState.WAITING,
    )
    for one in session.scalars(mine):
        stands(session, by, one, WaitingState.PLACED, now)


def one_request_each(session: Session, by: Actor, student_id: int, now: datetime) -> None:
    """Take off the list what a student waits for twice, as when two records became one."""
    mine = select(WaitingRow).where(WaitingRow.student_id == student_id)
    asked = mine.where(WaitingRow.state.in_(ON_THE_LIST))
    known: set[tuple[SessionKind, int | None]] = set()
    for row in session.scalars(asked.order_by(WaitingRow.asked_at, WaitingRow.id)).all():
        if (row.kind, row.session_id) in known:
            let_go(session, by, row, now)
            stands(session, by, row, WaitingState.WITHDRAWN, now)
        known.add((row.kind, row.session_id))


def offer_free_places(session: Session, now: datetime) -> int:
    """Hold a free place for each who waits and whom one fits; how many. First come, first served.

    A session is offered to the same request once. One query when nobody waits.
    """
    waiting = session.scalars(
        select(WaitingRow)
        .where(WaitingRow.state == WaitingState.WAITING)
        .order_by(WaitingRow.asked_at, WaitingRow.id)
    ).all()
    if not waiting:
        return 0
    desk = _Offering(session, waiting, now)
    return sum(desk.offer(row) for row in waiting)


class _Offering:
    """The offers of one moment; each that is made changes what is left for the next."""

    def __init__(self, session: Session, waiting: Sequence[WaitingRow], now: datetime) -> None:
        school = settings.load(session)
        self.session, self.now, self.zone = session, now, zone_of(school)
        self.hold = timedelta(minutes=school.hold_minutes)
        self.today = day_of(now, self.zone)
        self.students = riders(session, {row.student_id for row in waiting})
        self.before = _offered_before(session, waiting)
        self.diary = self._load(waiting)

    def _load(self, waiting: Sequence[WaitingRow]) -> Horizon:
        furthest = self.today + timedelta(days=MOST_DAYS)
        last = min(max(row.latest for row in waiting), furthest)
        return horizon.load(self.session, self.today, max(self.today, last), self.now, self.zone)

    def offer(self, row: WaitingRow) -> bool:
        """Hold the soonest place that fits and was not offered to this request before."""
        wish = as_search(wish_from(row), self.students[row.student_id], self.today)
        for place in places_in_sessions(wish, self.diary, self.now, self.zone):
            found = place.session_id
            if found is not None and (row.id, found) not in self.before:
                wanted = WantedPlace(found, row.student_id, place.bike_id)
                until = hold_end(self.now, self.hold, place.span.starts_at, self.zone)
                self._hold(row, wanted, until)
                return True
        return False

    def _hold(self, row: WaitingRow, wanted: WantedPlace, until: datetime) -> None:
        booking_id = take(self.session, TIME, wanted, self.now, held_until=until)
        self.session.add(
            OfferRow(
                waiting_id=row.id,
                session_id=wanted.session_id,
                booking_id=booking_id,
                made_at=self.now,
                state=OfferState.OPEN,
            )
        )
        stands(self.session, TIME, row, WaitingState.OFFERED, self.now)
        letters.offered(self.session, booking_id, self.now)
        self.diary = self.diary.with_booking(wanted.session_id, row.student_id, wanted.bike_id)


def _offered_before(session: Session, waiting: Sequence[WaitingRow]) -> set[tuple[int, int]]:
    ids = [row.id for row in waiting]
    rows = session.execute(
        select(OfferRow.waiting_id, OfferRow.session_id).where(OfferRow.waiting_id.in_(ids))
    )
    return {(row.waiting_id, row.session_id) for row in rows}
