"""Rides for tests of what follows from them: sessions of the past, and rides in them."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor, Role
from app.rules.diary.values import BookingState, SessionKind, Surface
from app.rules.riding.recording import NewFault, NewRide, Word
from app.rules.riding.values import Severity, Side, SpeedSource
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.progress.writes import record_rides
from app.store.riding.tables import ManoeuvreRow, VariantRow
from tests.support.cast import Cast
from tests.support.clock import START

CONE = NewFault("cone_touched", Severity.SERIOUS, Side.LEFT)
STALL = NewFault("stall", Severity.RIDING)
LOOKED_DOWN = NewFault("looked_down", Severity.REMARK)


def ines(people: Cast) -> Actor:
    """Ines, who teaches Lena."""
    roles = frozenset({Role.INSTRUCTOR})
    return Actor(people.instructor_account, "Ines Heron", roles, "test", None, people.instructor)


def variant(database: Database, manoeuvre: str, code: str = "only") -> int:
    """The id of a variant by the codes of its manoeuvre and its own."""
    with database.reading() as session:
        query = select(VariantRow.id).join(ManoeuvreRow, VariantRow.manoeuvre_id == ManoeuvreRow.id)
        return session.scalars(
            query.where(ManoeuvreRow.code == manoeuvre, VariantRow.code == code)
        ).one()


def past_session(database: Database, people: Cast, days: int, **facts: Any) -> int:
    """A session of Ines some days ago in which Lena had a place on the first bike; its id."""
    begins = START - timedelta(days=days, hours=1)
    usual = {"surface": Surface.DAMP, "windy": True, "places": 4, "yard_id": people.yard}
    with database.writing() as session:
        while _is_taken(session, begins):
            begins -= timedelta(hours=2)
        row = SessionRow(
            instructor_id=people.instructor,
            kind=SessionKind.MODULE_1,
            starts_at=begins,
            ends_at=begins + timedelta(hours=2),
            **(usual | facts),
        )
        session.add(row)
        session.flush()
        session.add(
            BookingRow(
                session_id=row.id,
                student_id=people.learner,
                bike_id=people.bike,
                state=BookingState.ATTENDED,
                booked_at=begins,
            )
        )
        return row.id


def _is_taken(session: Session, begins: datetime) -> bool:
    """Whether there is a session already at that time, which nobody may be in twice."""
    ends = begins + timedelta(hours=2)
    there = select(SessionRow.id).where(SessionRow.starts_at < ends, SessionRow.ends_at > begins)
    return session.scalars(there.limit(1)).first() is not None


def a_ride(
    people: Cast, variant_id: int, training: int, minutes: float = 0, **facts: Any
) -> NewRide:
    """A ride of Lena, clean unless ``facts`` say otherwise, some minutes after the start of now.

    Give ``days`` for a ride that many days ago.
    """
    ridden_at = START + timedelta(minutes=minutes) - timedelta(days=facts.pop("days", 0))
    usual: dict[str, Any] = {"attempt_id": uuid4(), "student_id": people.learner}
    return NewRide(
        session_id=training, variant_id=variant_id, ridden_at=ridden_at, **(usual | facts)
    )


def timed(kmh: float) -> dict[str, Any]:
    """The facts of a speed taken at a gate."""
    return {"speed_kmh": kmh, "speed_source": SpeedSource.GATE}


def record(database: Database, people: Cast, *rides: NewRide) -> list[UUID]:
    """Record rides as Ines, all of which are saved; their ids."""
    answers = record_rides(database, ines(people), rides, START)
    assert [(answer.word, answer.reason) for answer in answers] == [(Word.SAVED, "")] * len(rides)
    return [answer.attempt_id for answer in answers]


def ride_often(database: Database, people: Cast, sessions: int, rides: int) -> None:
    """Rides of four manoeuvres in turn, every third not clean, in sessions of the past."""
    codes = ("slalom", "figure_of_8", "slow_ride", "u_turn")
    variants = [variant(database, code) for code in codes]
    for days in range(1, sessions + 1):
        training = past_session(database, people, days)
        record(
            database,
            people,
            *(
                a_ride(people, one, training, 4 * turn + place, days=days, faults=_faults(turn))
                for turn in range(rides)
                for place, one in enumerate(variants)
            ),
        )


def _faults(turn: int) -> tuple[NewFault, ...]:
    return (STALL,) if turn % 3 == 0 else ()
