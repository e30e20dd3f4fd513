"""A session as the yard's small screens need it: who rides on what, where, and what was checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from app.rules.diary.values import HELD_STATES, SessionKind, Surface
from app.rules.diary.words import conditions
from app.rules.refusal import Missing
from app.rules.riding.safety import checks
from app.rules.yards.area import RidersAtOnce, riders_at_once
from app.store.accounts.tables import AccountRow
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from app.store.riding.recording import yard_facts
from app.store.riding.safety_tables import SafetyCheckRow
from app.store.yards.tables import BikeRow, YardRow


@dataclass(frozen=True, slots=True)
class Conditions:
    """How it is in the yard on the day; None or empty where nobody has said."""

    surface: Surface | None
    windy: bool | None
    remark: str = ""

    @property
    def words(self) -> str:
        """``damp, windy, leaves``."""
        return conditions(self.surface, self.windy, self.remark)


@dataclass(frozen=True, slots=True)
class RiderOnBike:
    """Someone with a place in the session, and the bike that goes with it, if one does."""

    student_id: int
    name: str
    bike_id: int | None
    bike: str | None
    off_road_reason: str | None

    @property
    def warning(self) -> str | None:
        """What the board says when the bike must not be ridden."""
        if self.off_road_reason is None:
            return None
        return f"{self.name}: {self.bike} is off the road ({self.off_road_reason}). Use another."


@dataclass(frozen=True, slots=True)
class Around:
    """A session with all that stands around its rides. ``checks`` are in the words to confirm, or
    in those that were confirmed."""

    session_id: int
    yard: str
    starts_at: datetime
    kind: SessionKind
    conditions: Conditions
    riders: tuple[RiderOnBike, ...]
    limit: RidersAtOnce
    checked_at: datetime | None
    checked_by: str | None
    checks: tuple[str, ...]

    @property
    def warnings(self) -> tuple[str, ...]:
        """A sentence for each rider whose bike is off the road."""
        return tuple(rider.warning for rider in self.riders if rider.warning)


def load_around(session: Session, session_id: int, instructor_id: int | None) -> Around:
    """One session, of this instructor alone unless ``instructor_id`` is None: two queries.

    Raises Missing for a session that is not there, not theirs, or cancelled.
    """
    found = session.execute(
        select(SessionRow, YardRow, SafetyCheckRow, AccountRow.name)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .outerjoin(SafetyCheckRow, SafetyCheckRow.session_id == SessionRow.id)
        .outerjoin(AccountRow, SafetyCheckRow.confirmed_by == AccountRow.id)
        .where(SessionRow.id == session_id, *_theirs(instructor_id))
    ).first()
    if found is None:
        raise Missing(f"session {session_id}")
    return _around(found, riders_of(session, session_id))


def _theirs(instructor_id: int | None) -> tuple[ColumnElement[bool], ...]:
    stands = SessionRow.cancelled_at.is_(None)
    if instructor_id is None:
        return (stands,)
    return stands, SessionRow.instructor_id == instructor_id


def _around(found: Any, riders: tuple[RiderOnBike, ...]) -> Around:
    row, yard, check, checked_by = found
    limit = riders_at_once(yard_facts(yard))
    return Around(
        session_id=row.id,
        yard=yard.name,
        starts_at=row.starts_at,
        kind=row.kind,
        conditions=Conditions(row.surface, row.windy, row.surface_remark),
        riders=riders,
        limit=limit,
        checked_at=check.confirmed_at if check else None,
        checked_by=checked_by,
        checks=tuple(check.checks) if check else checks(row.kind, limit, len(riders)),
    )


def riders_of(session: Session, session_id: int) -> tuple[RiderOnBike, ...]:
    """Who has a place in a session, by name: one query."""
    rows = session.execute(
        select(StudentRow.id, StudentRow.name, BikeRow.id, BikeRow.label, BikeRow.off_road_reason)
        .select_from(BookingRow)
        .join(StudentRow, BookingRow.student_id == StudentRow.id)
        .outerjoin(BikeRow, BookingRow.bike_id == BikeRow.id)
        .where(BookingRow.session_id == session_id, BookingRow.state.in_(HELD_STATES))
        .order_by(StudentRow.name, StudentRow.id)
    )
    return tuple(RiderOnBike(*row) for row in rows)


def other_bikes(session: Session, around: Around) -> Mapping[int, str]:
    """The names of the bikes that nobody has in this session, by id: one query."""
    taken = {rider.bike_id for rider in around.riders}
    rows = session.execute(select(BikeRow.id, BikeRow.label).order_by(BikeRow.id))
    return {row.id: row.label for row in rows if row.id not in taken}
