"""Standings follow from the rides alone, however and whenever the rides arrive."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.refusal import Missing
from app.rules.riding.recording import NewRide, Word
from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.progress.reads import student_progress
from app.store.progress.writes import rebuild, record_rides, strike_out
from tests.store.progress.kept import rows, same
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.databases import SqliteFactory, furnish
from tests.support.riding import CONE, STALL, a_ride, ines, past_session, record, timed, variant


def some_rides(database: Database, who: Cast) -> list[NewRide]:
    """Twelve rides of three variants over two sessions, good and bad, in the order ridden."""
    slalom, u_turn = variant(database, "slalom"), variant(database, "u_turn")
    left = variant(database, "avoidance", "left")
    earlier = past_session(database, who, days=9)
    pattern = [(slalom, ()), (u_turn, (STALL,)), (slalom, (CONE,)), (left, ())]
    speed = {left: timed(51.0)}
    return [
        a_ride(who, one, training, minute, days=days, faults=faults, **speed.get(one, {}))
        for training, days in ((earlier, 9), (who.session, 0))
        for minute, (one, faults) in enumerate(pattern + pattern[:2])
    ]


def test_what_is_kept_ride_by_ride_is_what_a_rebuild_gives(either: Database, who: Cast) -> None:
    for ride in some_rides(either, who):
        record(either, who, ride)
    before = rows(either)
    assert rebuild(either, who.learner) == 1
    assert len(before) == 4
    assert same(before, rows(either))


def test_a_rebuild_of_everyone_reaches_everyone(either: Database, who: Cast) -> None:
    record(either, who, *some_rides(either, who))
    before = rows(either)
    assert rebuild(either) == 2
    after = rows(either)
    assert same(before, {key: row for key, row in after.items() if key[0] == who.learner})


def test_rides_that_arrive_backwards_leave_what_rides_in_order_leave(
    either: Database, who: Cast, database: Database
) -> None:
    rides = some_rides(either, who)
    for ride in reversed(rides):
        record(either, who, ride)
    some_rides(database, who)
    record(database, who, *rides)
    assert same(rows(either), rows(database))


def test_the_same_ride_twice_changes_nothing(either: Database, who: Cast) -> None:
    rides = some_rides(either, who)
    record(either, who, *rides)
    before = rows(either)
    answers = record_rides(either, ines(who), [*rides, rides[0]], START + timedelta(hours=1))
    assert {answer.word for answer in answers} == {Word.ALREADY_HAD}
    assert rows(either) == before


def test_a_batch_that_holds_a_ride_twice_counts_it_once(either: Database, who: Cast) -> None:
    ride = some_rides(either, who)[0]
    answers = record_rides(either, ines(who), [ride, ride], START)
    assert [answer.word for answer in answers] == [Word.SAVED, Word.ALREADY_HAD]
    assert rows(either)[who.learner,]["rides"] == 1


def test_a_ride_struck_out_counts_no_longer(either: Database, who: Cast) -> None:
    *others, middle, last = some_rides(either, who)
    record(either, who, *others, last)
    before = rows(either)
    record(either, who, middle)
    assert not same(before, rows(either))
    strike_out(either, ines(who), middle.attempt_id, "The wrong rider", START)
    assert same(before, rows(either))


def test_when_the_only_ride_is_struck_out_no_standing_is_left(either: Database, who: Cast) -> None:
    ride = some_rides(either, who)[0]
    record(either, who, ride)
    strike_out(either, ines(who), ride.attempt_id, "The wrong rider", START)
    assert list(rows(either)) == [(who.learner,)]
    assert rows(either)[who.learner,]["rides"] == 0


def test_striking_out_a_ride_that_is_not_there_is_refused(either: Database, who: Cast) -> None:
    ride = some_rides(either, who)[0]
    with pytest.raises(Missing):
        strike_out(either, ines(who), ride.attempt_id, "The wrong rider", START)


def test_a_ride_whose_speed_was_not_measured_does_not_count(either: Database, who: Cast) -> None:
    record(either, who, *some_rides(either, who))
    before = rows(either)
    stop = variant(either, "emergency_stop")
    record(either, who, a_ride(who, stop, who.session, 40))
    assert rows(either) == before
    record(either, who, a_ride(who, stop, who.session, 41, **timed(51.0)))
    assert rows(either)[who.learner, stop]["rides"] == 1


def test_only_the_days_turn_steady_into_needs_a_refresh(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    for days in (3, 2, 1):
        training = past_session(either, who, days)
        record(
            either, who, *(a_ride(who, slalom, training, minute, days=days) for minute in range(6))
        )
    assert standing(either, who, slalom, days=0) == "steady"
    assert standing(either, who, slalom, days=60) == "needs a refresh"


def standing(database: Database, who: Cast, variant_id: int, days: int) -> str:
    """A variant's standing in words some days from now."""
    now = START + timedelta(days=days)
    with database.reading() as session:
        found = student_progress(session, who.learner, now, SchoolSettings())
    return next(v.standing for m in found.manoeuvres for v in m.variants if v.id == variant_id)


@settings(max_examples=6, deadline=None)
@given(order=st.permutations(range(12)), cut=st.integers(1, 11))
def test_any_order_of_arrival_in_any_batches(
    sqlite_factory: SqliteFactory, order: list[int], cut: int
) -> None:
    in_order, shuffled = Database(sqlite_factory.fresh()), Database(sqlite_factory.fresh())
    who = furnish(in_order)
    assert furnish(shuffled) == who
    rides = some_rides(in_order, who)
    some_rides(shuffled, who)
    record(in_order, who, *rides)
    record(shuffled, who, *(rides[number] for number in order[:cut]))
    record(shuffled, who, *(rides[number] for number in order[cut:]))
    assert same(rows(in_order), rows(shuffled))
    in_order.close()
    shuffled.close()
