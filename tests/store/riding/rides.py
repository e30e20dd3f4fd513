"""Rides for the tests of the store, and what was kept of them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import func, select

from app.rules.accounts.roles import Actor
from app.rules.riding.recording import NewFault, NewRide, RideAnswer, Word
from app.rules.riding.values import Severity, Side, SpeedSource
from app.store.columns import Base
from app.store.database import Database
from app.store.progress.writes import record_rides
from app.store.riding.course import load_course
from app.store.riding.tables import AttemptRow
from tests.support.cast import Cast
from tests.support.clock import START

CONE = NewFault("cone_touched", Severity.SERIOUS, Side.LEFT)
STALL = NewFault("stall", Severity.RIDING)
REMARK = NewFault("looked_down", Severity.REMARK)


def variant_id(db: Database, manoeuvre: str, code: str = "only") -> int:
    """The id of a variant by the codes of its manoeuvre and its own."""
    with db.reading() as session:
        variants = load_course(session).variants
    return next(v.id for v in variants if (v.manoeuvre.code, v.variant.code) == (manoeuvre, code))


def ride(db: Database, people: Cast, manoeuvre: str = "slalom", **facts: Any) -> NewRide:
    """A clean ride of the learner in Ines's session, changed by ``facts``."""
    code = facts.pop("code", "only")
    made = NewRide(
        attempt_id=uuid4(),
        session_id=people.session,
        student_id=people.learner,
        variant_id=variant_id(db, manoeuvre, code),
        ridden_at=START,
    )
    return replace(made, **facts)


def timed(db: Database, people: Cast, kmh: float | None, **facts: Any) -> NewRide:
    """An emergency stop of the learner at a speed in km/h."""
    source = None if kmh is None else SpeedSource.GATE
    return ride(db, people, "emergency_stop", speed_kmh=kmh, speed_source=source, **facts)


def keep(db: Database, by: Actor, *rides: NewRide) -> list[Word]:
    """Record rides and say what became of each."""
    return [answer.word for answer in record_rides(db, by, rides, START)]


def refusal(db: Database, by: Actor, one: NewRide) -> str:
    """Record a ride that is refused, and leave nothing behind; the reason."""
    before = count(db, AttemptRow)
    answers = record_rides(db, by, [one], START)
    assert answers == (RideAnswer(one.attempt_id, Word.REFUSED, answers[0].reason),)
    assert count(db, AttemptRow) == before
    return answers[0].reason


def kept(db: Database, attempt_id: UUID) -> AttemptRow:
    """The row of a ride."""
    with db.reading() as session:
        return session.get_one(AttemptRow, attempt_id)


def count(db: Database, table: type[Base]) -> int:
    """How many rows a table has."""
    with db.reading() as session:
        return session.scalar(select(func.count()).select_from(table)) or 0
