"""The rides of a mock test on both databases."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import uuid4

from sqlalchemy import select

from app.rules.accounts.roles import Actor
from app.rules.riding.recording import NewFault, Word
from app.rules.riding.values import Severity, Side
from app.rules.riding.verdict import ModuleResult
from app.store.database import Database
from app.store.progress.tables import StandingRow
from app.store.progress.writes import rebuild, record_rides, strike_out
from app.store.riding.mock_writes import stop
from tests.store.riding.mock import begin, next_ride, read, ride_on
from tests.store.riding.rides import keep, refusal, variant_id
from tests.support.cast import Cast
from tests.support.clock import START

TOUCHED = NewFault("cone_touched", Severity.SERIOUS, Side.LEFT)


def test_the_order_is_that_of_the_test_whatever_the_clocks_say(
    either: Database, people: Cast, ines: Actor
) -> None:
    test = begin(either, ines, people)
    for minutes in (9, 5, 1):
        keep(either, ines, next_ride(either, test, minutes))
    found = read(either, test)
    assert [ride.name for ride in found.rides][-1] == "Slalom"
    assert found.last == found.rides[-1]


def test_a_failed_stop_ends_the_riding(either: Database, people: Cast, ines: Actor) -> None:
    test = begin(either, ines, people)
    ride_on(either, ines, test, 7)
    keep(either, ines, next_ride(either, test, 8, speed_kmh=44.0))
    keep(either, ines, next_ride(either, test, 9, speed_kmh=44.0))
    found = read(either, test)
    assert (found.turn, found.verdict.result) == (None, ModuleResult.FAILED)
    assert [ride.second_try for ride in found.rides[-2:]] == [False, True]


def test_a_ride_struck_out_is_ridden_again(either: Database, people: Cast, ines: Actor) -> None:
    test = begin(either, ines, people)
    ride_on(either, ines, test, 3)
    last = read(either, test).last
    assert last is not None
    strike_out(either, ines, last.attempt_id, "Pressed by mistake", START)
    assert read(either, test).next_variant.name == "Slalom"
    assert keep(either, ines, next_ride(either, test, 9)) == [Word.SAVED]


def test_its_rides_count_and_a_rebuild_agrees(either: Database, people: Cast, ines: Actor) -> None:
    test = begin(either, ines, people)
    keep(either, ines, next_ride(either, test, faults=()))
    keep(either, ines, next_ride(either, test, 2, faults=(TOUCHED,)))
    before = standings(either)
    rebuild(either, people.learner)
    assert standings(either) == before
    assert [clean for _, rides, clean in before] == [1, 0]


def standings(db: Database) -> list[tuple[int, int, int]]:
    """Variant, rides and clean rides of everyone's standings."""
    with db.reading() as session:
        rows = session.scalars(select(StandingRow).order_by(StandingRow.variant_id))
        return [(row.variant_id, row.rides, row.clean_rides) for row in rows]


def test_the_same_ride_twice_is_kept_once(either: Database, people: Cast, ines: Actor) -> None:
    test = begin(either, ines, people)
    ride = next_ride(either, test)
    assert keep(either, ines, ride, ride) == [Word.SAVED, Word.ALREADY_HAD]
    assert keep(either, ines, ride) == [Word.ALREADY_HAD]


def test_a_ride_outside_a_test_is_not_the_same_ride(
    either: Database, people: Cast, ines: Actor
) -> None:
    ride = next_ride(either, begin(either, ines, people))
    keep(either, ines, ride)
    (answer,) = record_rides(either, ines, [replace(ride, mock_test_id=None)], START)
    assert answer.word is Word.REFUSED


def test_rides_that_are_no_part_of_it_are_refused(
    either: Database, people: Cast, ines: Actor, ivor: Actor
) -> None:
    test = begin(either, ines, people)
    ride = next_ride(either, test)
    right = variant_id(either, "avoidance", "right")
    elsewhere: Any = {"session_id": people.other_session, "student_id": people.stranger}
    assert "not known here" in refusal(either, ines, replace(ride, mock_test_id=uuid4()))
    assert "does not ask for" in refusal(either, ines, replace(ride, variant_id=right))
    assert "another rider's" in refusal(either, ivor, replace(ride, **elsewhere))
    keep(either, ines, ride)
    again = replace(ride, attempt_id=uuid4())
    assert "ridden in this mock test already" in refusal(either, ines, again)


def test_rides_arrive_in_any_order_but_not_from_after_the_end(
    either: Database, people: Cast, ines: Actor
) -> None:
    test = begin(either, ines, people)
    first = next_ride(either, test, 1)
    later = replace(
        first, attempt_id=uuid4(), variant_id=variant_id(either, "u_turn"),
        ridden_at=START + timedelta(minutes=5),
    )  # fmt: skip
    at = START + timedelta(minutes=6)
    assert keep(either, ines, later) == [Word.SAVED]
    stop(either, ines, test, "Weather or surface", at, at)
    assert keep(either, ines, first) == [Word.SAVED]
    too_late = replace(first, attempt_id=uuid4(), variant_id=variant_id(either, "slalom"),
                       ridden_at=at + timedelta(seconds=1))  # fmt: skip
    assert "has ended" in refusal(either, ines, too_late)
    assert [ride.name for ride in read(either, test).rides] == ["Park in the bay", "U-turn"]
