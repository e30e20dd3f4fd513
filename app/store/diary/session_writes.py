"""Making, changing and cancelling sessions. Every write has the diary to itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.clock import day_of, moment_of
from app.rules.diary.facts import Plan, SessionWish, Span
from app.rules.diary.school_days import ANY_TIME
from app.rules.diary.sessions import why_not_change, why_not_day, why_not_move, why_not_stand
from app.rules.diary.taking_along import why_not_take_along
from app.rules.diary.values import TO_COME_STATES, BookingState, GivenUpFor
from app.rules.refusal import Reason, Refused
from app.store import audit, settings
from app.store.database import Database
from app.store.diary import letters, school_days
from app.store.diary.booking_writes import cancel_in
from app.store.diary.life import diary
from app.store.diary.loading import (
    held_elsewhere,
    instructor_state,
    neighbours,
    school_zone,
    session_row,
    session_state,
    teacher,
    yard_state,
    zone_of,
)
from app.store.diary.places import refuse
from app.store.diary.tables import BookingRow, SessionRow
from app.store.diary.taking_along import riders_of
from app.store.once import once
from app.store.stale import check_version


def add_session(db: Database, by: Actor, wish: SessionWish, key: UUID, now: datetime) -> int:
    """Put a session into the diary, once for one form; its id. Refused with every reason."""

    def make() -> int:
        plan = _plan(session, wish, now)
        refuse(_against(session, wish, plan))
        return new_in(session, by, SessionRow(**_values(wish, plan)), now)

    with diary(db, now) as session:
        return once(session, key, now, make)


def new_in(session: Session, by: Actor, row: SessionRow, now: datetime) -> int:
    """Keep a session that no rule speaks against, in the caller's transaction; its id."""
    session.add(row)
    session.flush()
    audit.record(session, by, now, "made", "training_sessions", row.id)
    return row.id


def edit_session(
    db: Database, by: Actor, session_id: int, version: int, wish: SessionWish, now: datetime
) -> int:
    """Change a session and take its riders along; its id.

    Raises Refused when the diary, a rider or a bike is in the way of the change.
    """
    with diary(db, now) as session:
        row = session_row(session, session_id)
        check_version(row.version, version)
        zone = school_zone(session)
        refuse(why_not_change(session_state(session, row), now, zone))
        edit_in(session, by, row, wish, _plan(session, wish, now), now)
        return row.id


def edit_in(
    session: Session, by: Actor, row: SessionRow, wish: SessionWish, plan: Plan, now: datetime
) -> None:
    """Change a session in the caller's transaction; raises as :func:`edit_session` does."""
    zone = school_zone(session)
    elsewhere = held_elsewhere(session, row, plan.span)
    moves = why_not_move(plan, session_state(session, row).taken, elsewhere, zone)
    refuse((*_against(session, wish, plan, but=row), *moves))
    told = letters.appointments_of(session, row.id)
    _change(session, by, row, _values(wish, plan), now)
    for booking_id, before in told.items():
        letters.changed(session, booking_id, before, now)


def _change(
    session: Session, by: Actor, row: SessionRow, after: dict[str, Any], now: datetime
) -> None:
    changed = sorted(name for name in after if getattr(row, name) != after[name])
    if changed:
        for name in changed:
            setattr(row, name, after[name])
        row.version += 1
        _bump(session, row)
        audit.record(session, by, now, "changed", "training_sessions", row.id, fields=changed)


def _bump(session: Session, row: SessionRow) -> None:
    """A changed session is a change of every booking in it, which calendars count by version."""
    session.flush()
    inside = update(BookingRow).where(BookingRow.session_id == row.id)
    session.execute(
        inside.values(version=BookingRow.version + 1).execution_options(synchronize_session=False)
    )
    for known in session:
        # The database has carried the new times over to the bookings by itself.
        if isinstance(known, BookingRow):
            session.expire(known)


def cancel_session(
    db: Database,
    by: Actor,
    session_id: int,
    version: int,
    now: datetime,
    reason: GivenUpFor = GivenUpFor.SCHOOL,
) -> int:
    """Cancel a session with its bookings, none of which is late by that; how many there were."""
    with diary(db, now) as session:
        row = session_row(session, session_id)
        check_version(row.version, version)
        return cancel_session_in(session, by, row, now, reason)


def cancel_session_in(
    session: Session,
    by: Actor,
    row: SessionRow,
    now: datetime,
    reason: GivenUpFor = GivenUpFor.SCHOOL,
) -> int:
    """Cancel a session in the caller's transaction; raises Refused when it cannot be any more."""
    zone = school_zone(session)
    refuse(why_not_change(session_state(session, row), now, zone))
    bookings = session.scalars(select(BookingRow).where(BookingRow.session_id == row.id)).all()
    if any(booking.state is BookingState.ATTENDED for booking in bookings):
        raise Refused(Reason("A student has been marked as here, so it cannot be cancelled."))
    row.cancelled_at, row.cancelled_by = now, by.account_id
    row.version += 1
    audit.record(
        session, by, now, "cancelled", "training_sessions", row.id, given_up_for=reason.value
    )
    booked = sum(one.state is BookingState.BOOKED for one in bookings)
    for booking in bookings:
        if booking.state in TO_COME_STATES:
            cancel_in(session, by, booking, reason, now)
    return booked


def _plan(session: Session, wish: SessionWish, now: datetime) -> Plan:
    zone = school_zone(session)
    # A day out of bounds has no moment that could be kept, so it is refused first.
    refuse(why_not_day(wish.day, day_of(now, zone)))
    starts = moment_of(wish.day, wish.starts, zone, "starts")
    span = Span(starts, moment_of(wish.day, wish.ends, zone, "ends"))
    return Plan(span, wish.places, wish.kind)


def _against(
    session: Session, wish: SessionWish, plan: Plan, but: SessionRow | None = None
) -> tuple[Reason, ...]:
    school = settings.load(session)
    # What stands on a day that was closed since can still be mended where it is.
    moved = but is None or _moves(but, wish, plan)
    calendar = school_days.load(session, wish.day, wish.day, school) if moved else ANY_TIME
    who, where, own = wish.instructor_id, wish.yard_id, but.id if but else None
    reasons = why_not_stand(
        plan,
        yard_state(session, where),
        instructor_state(session, who),
        neighbours(session, plan.span, where, who, own, calendar.longest_gap),
        calendar,
        zone_of(school),
    )
    if but is None or not moved:
        return reasons
    then = replace(session_state(session, but), span=plan.span, teacher=teacher(session, who))
    along = why_not_take_along(then, riders_of(session, but.id), zone_of(school))
    return (*reasons, *along)


def _moves(row: SessionRow, wish: SessionWish, plan: Plan) -> bool:
    before = (row.starts_at, row.ends_at, row.instructor_id, row.yard_id, row.kind)
    span = plan.span
    return before != (span.starts_at, span.ends_at, wish.instructor_id, wish.yard_id, wish.kind)


def _values(wish: SessionWish, plan: Plan) -> dict[str, Any]:
    return {
        "yard_id": wish.yard_id,
        "instructor_id": wish.instructor_id,
        "kind": wish.kind,
        "starts_at": plan.span.starts_at,
        "ends_at": plan.span.ends_at,
        "places": wish.places,
        "remarks": wish.remarks,
    }
