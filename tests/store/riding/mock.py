"""Mock tests for the store's tests: begun, ridden on, ended, read."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from app.rules.accounts.roles import Actor
from app.rules.riding.mock import NewMockTest
from app.rules.riding.recording import NewRide, Word
from app.rules.riding.values import Side, SpeedSource
from app.store.database import Database
from app.store.riding.mock_reads import MockTest, load_mock_test
from app.store.riding.mock_writes import end, start
from tests.store.riding.rides import keep
from tests.support.cast import Cast
from tests.support.clock import START

LONDON = ZoneInfo("Europe/London")


def new(people: Cast, **facts: Any) -> NewMockTest:
    """A mock test of the learner in Ines's session, to the left."""
    made = NewMockTest(uuid4(), people.session, people.learner, Side.LEFT, START)
    return replace(made, **facts)


def begin(db: Database, by: Actor, people: Cast, **facts: Any) -> UUID:
    """Begin one; its id."""
    return start(db, by, new(people, **facts), START)


def read(db: Database, test: UUID, **whose: int) -> MockTest:
    """The mock test as it stands."""
    with db.reading() as session:
        return load_mock_test(session, test, LONDON, **whose)


def next_ride(db: Database, test: UUID, minutes: int = 1, **facts: Any) -> NewRide:
    """A ride of what comes next, clean and fast enough unless ``facts`` say otherwise."""
    found = read(db, test)
    assert found.turn is not None
    timed = found.next_variant.minimum_for(found.category) is not None
    made = NewRide(
        attempt_id=uuid4(),
        session_id=found.session_id,
        student_id=found.student_id,
        variant_id=found.next_variant.id,
        ridden_at=START + timedelta(minutes=minutes),
        speed_kmh=51.0 if timed else None,
        speed_source=SpeedSource.GATE if timed else None,
        second_try=found.turn.second_try,
        mock_test_id=test,
    )
    return replace(made, **facts)


def ride_on(db: Database, by: Actor, test: UUID, rides: int) -> None:
    """Ride the next so many clean."""
    for minutes in range(rides):
        assert keep(db, by, next_ride(db, test, minutes)) == [Word.SAVED]


def finish(db: Database, by: Actor, test: UUID, minutes: int = 30) -> UUID:
    """End it."""
    at = START + timedelta(minutes=minutes)
    return end(db, by, test, at, at, LONDON)
