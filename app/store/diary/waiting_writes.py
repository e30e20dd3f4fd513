"""Putting somebody on the waiting list and taking them off it."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.diary.clock import day_of
from app.rules.diary.values import ON_THE_LIST, WaitingState
from app.rules.diary.waiting import WaitingWish, why_not_wait
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit
from app.store.database import Database
from app.store.diary.life import diary
from app.store.diary.loading import rider, school_zone, session_row
from app.store.diary.offers import let_go, stands
from app.store.diary.places import refuse
from app.store.diary.tables import WaitingRow
from app.store.once import once
from app.store.stale import check_version


def wait(db: Database, by: Actor, wish: WaitingWish, key: UUID, now: datetime) -> int:
    """Put a student on the list, once for one form; the id of the request.

    A place that is free already is offered to them at once. Raises Missing for an
    unknown student or session, and Refused with every reason against it.
    """
    with diary(db, now) as session:
        return once(session, key, now, lambda: wait_in(session, by, wish, now))


def wait_in(session: Session, by: Actor, wish: WaitingWish, now: datetime) -> int:
    """Put a student on the list in the caller's transaction; raises as :func:`wait` does."""
    rider(session, wish.student_id)
    if wish.session_id is not None:
        session_row(session, wish.session_id)
    today = day_of(now, school_zone(session))
    refuse((*why_not_wait(wish, today), *_twice(session, wish)))
    row = WaitingRow(
        student_id=wish.student_id,
        kind=wish.kind,
        session_id=wish.session_id,
        earliest=wish.earliest,
        latest=wish.latest,
        weekdays="".join(map(str, sorted(wish.weekdays))),
        begins=wish.begins,
        ends=wish.ends,
        own_bike=wish.own_bike,
        asked_at=now,
        asked_by=by.account_id,
    )
    session.add(row)
    session.flush()
    audit.record(session, by, now, "waits", "waiting", row.id, student=wish.student_id)
    return row.id


def _twice(session: Session, wish: WaitingWish) -> tuple[Reason, ...]:
    if not waits_already(session, wish):
        return ()
    return (Reason("The student waits for this already. Take them off the list first."),)


def waits_already(session: Session, wish: WaitingWish) -> bool:
    """Whether the student is on the list for the same, whenever they can. One query."""
    same = select(WaitingRow.id).where(
        WaitingRow.student_id == wish.student_id,
        WaitingRow.kind == wish.kind,
        WaitingRow.session_id.is_not_distinct_from(wish.session_id),
        WaitingRow.state.in_(ON_THE_LIST),
    )
    return session.scalars(same.limit(1)).first() is not None


def withdraw(db: Database, by: Actor, waiting_id: int, version: int, now: datetime) -> int:
    """Take somebody off the list, and let go of what is held for them; the student's id.

    Raises Missing for an unknown request, and Refused when it is not open any more.
    """
    with diary(db, now) as session:
        row = session.get(WaitingRow, waiting_id)
        if row is None:
            raise Missing
        check_version(row.version, version)
        if row.state not in ON_THE_LIST:
            raise Refused(Reason("This request is not on the list any more."))
        if row.state is WaitingState.OFFERED:
            let_go(session, by, row, now)
        stands(session, by, row, WaitingState.WITHDRAWN, now)
        return row.student_id
