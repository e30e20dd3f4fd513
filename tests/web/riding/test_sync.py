"""Handing a tablet's queue in: each ride once, whatever the order, and a word for each."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from app.rules.diary.values import BookingState
from app.rules.riding.handed_in import MOST_BYTES
from app.store.database import Database
from app.store.diary.tables import BookingRow
from app.store.progress import writes
from app.store.progress.tables import LearnerRow, StandingRow
from app.store.riding.tables import AttemptRow, PendingStrikeRow
from tests.rules.riding.test_handed_in import JSON
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import START, Clock
from tests.web.riding.tablet import Tablet

Visit = Callable[[str | None], Visitor]


@pytest.fixture
def tablet(visit: Visit, database: Database, people: Cast, clock: Clock) -> Tablet:
    """Ines's tablet."""
    return Tablet(visit("instructor"), database, people, clock)


def kept(db: Database) -> list[AttemptRow]:
    with db.reading() as session:
        return list(session.scalars(select(AttemptRow).order_by(AttemptRow.ridden_at)))


def standings(db: Database) -> list[Any]:
    with db.reading() as session:
        found = session.scalars(select(StandingRow).order_by(StandingRow.variant_id)).all()
        counted = select(AttemptRow.student_id).where(AttemptRow.struck_at.is_(None))
        ridden = LearnerRow.student_id.in_(counted)
        learners = session.scalars(select(LearnerRow).where(ridden)).all()
    return [(r.student_id, r.variant_id, r.state) for r in found] + [r.state for r in learners]


def assert_as_rebuilt(db: Database) -> None:
    found = standings(db)
    writes.rebuild(db)
    assert found == standings(db)


def test_rides_are_saved_and_a_repeat_changes_nothing(tablet: Tablet, database: Database) -> None:
    rides = [tablet.ride(), tablet.ride()]
    assert tablet.send(*rides) == ["saved", "saved"]
    assert tablet.send(*rides, rides[0]) == ["already_had"] * 3
    assert len(kept(database)) == 2
    assert_as_rebuilt(database)


def test_a_ride_says_who_recorded_it_and_on_which_tablet(
    tablet: Tablet, database: Database, people: Cast
) -> None:
    tablet.send(tablet.ride(seq=41))
    (row,) = kept(database)
    assert (row.recorded_by, str(row.tablet), row.tablet_seq, row.skew_seconds) == (
        people.instructor_account, tablet.id, 41, 0,
    )  # fmt: skip


def test_a_mixed_batch_is_answered_item_by_item(tablet: Tablet, database: Database) -> None:
    good, bad = tablet.ride(), tablet.ride(seq="first")
    strange = tablet.ride(session=999)
    answers = tablet.answers(good, bad, strange, "noise", tablet.strike(good))
    assert [a["answer"] for a in answers] == ["saved", "refused", "refused", "refused", "saved"]
    assert [a["id"] for a in answers[:4]] == [good["id"], bad["id"], strange["id"], None]
    assert all(a["reason"].endswith(".") for a in answers[1:4])
    (row,) = kept(database)
    assert row.struck_reason == "Taken back at once"
    assert_as_rebuilt(database)


def test_the_order_of_arrival_does_not_matter(
    tablet: Tablet, database: Database, clock: Clock
) -> None:
    rides = []
    for number in range(6):
        faults = [{"kind": "stall", "severity": "riding"}] if number % 2 else []
        rides.append(tablet.ride(faults=faults))
        clock.forward(minutes=2)
    assert tablet.send(rides[4], rides[1]) == ["saved", "saved"]
    assert tablet.send(rides[5], rides[0], rides[3], rides[2]) == ["saved"] * 4
    assert [str(row.id) for row in kept(database)] == [ride["id"] for ride in rides]
    assert_as_rebuilt(database)


def test_a_strike_that_comes_before_its_ride_waits_for_it(
    tablet: Tablet, database: Database
) -> None:
    ride = tablet.ride()
    strike = tablet.strike(ride)
    assert tablet.send(strike, strike) == ["saved", "already_had"]
    assert kept(database) == []
    assert tablet.send(ride) == ["saved"]
    assert kept(database)[0].struck_reason == "Taken back at once"
    assert tablet.send(strike, ride) == ["already_had", "already_had"]
    with database.reading() as session:
        assert session.scalars(select(PendingStrikeRow)).all() == []
    assert_as_rebuilt(database)


def test_a_stranger_strikes_nothing_out_before_or_after(
    tablet: Tablet, visit: Visit, database: Database, people: Cast, clock: Clock
) -> None:
    other = Tablet(visit("other_instructor"), database, people, clock)
    early, late = tablet.ride(), tablet.ride()
    assert other.send(other.strike(early)) == ["saved"]
    assert tablet.send(early, late) == ["saved", "saved"]
    assert other.send(other.strike(late)) == ["refused"]
    assert [row.struck_at for row in kept(database)] == [None, None]


@pytest.mark.parametrize("hours", [-30, -3, 3, 200])
def test_a_clock_that_is_wrong_by_hours_keeps_order_and_day(
    tablet: Tablet, database: Database, clock: Clock, hours: int
) -> None:
    wrong = timedelta(hours=hours)
    times = [clock() - timedelta(minutes=30), clock() - timedelta(minutes=10)]
    rides = [tablet.ride(ridden_at=(time + wrong).isoformat()) for time in times]
    assert tablet.send(*reversed(rides), clock=clock() + wrong) == ["saved", "saved"]
    rows = kept(database)
    assert [row.ridden_at for row in rows] == times
    assert {row.skew_seconds for row in rows} == {hours * 3600}


def test_a_clock_set_right_between_two_rides_leaves_the_tablets_own_order(
    tablet: Tablet, database: Database, clock: Clock
) -> None:
    """Three hours fast for the first two, right for the last, and right when they are sent."""
    start, minute = clock() - timedelta(minutes=30), timedelta(minutes=1)
    fast = [start + n * minute + timedelta(hours=3) for n in range(2)]
    rides = [tablet.ride(ridden_at=at.isoformat()) for at in (*fast, start + 5 * minute)]
    assert tablet.send(rides[2], rides[0]) == ["saved", "saved"]
    assert tablet.send(rides[1]) == ["saved"]
    rows = kept(database)
    assert [str(row.id) for row in rows] == [ride["id"] for ride in rides]
    assert [row.skew_seconds for row in rows] == [175 * 60, 176 * 60, 0]
    assert_as_rebuilt(database)


def test_two_tablets_on_one_session_keep_the_order_of_riding(
    tablet: Tablet, visit: Visit, database: Database, people: Cast, clock: Clock
) -> None:
    second = Tablet(visit("instructor"), database, people, clock)
    second.id = str(UUID(int=78))
    rides = []
    for number in range(4):
        rides.append((tablet, second)[number % 2].ride())
        clock.forward(minutes=1)
    assert second.send(rides[3], rides[1]) == ["saved", "saved"]
    assert tablet.send(rides[0], rides[2]) == ["saved", "saved"]
    rows = kept(database)
    assert [str(row.id) for row in rows] == [ride["id"] for ride in rides]
    assert [str(row.tablet) for row in rows] == [tablet.id, second.id] * 2
    assert_as_rebuilt(database)


def test_another_instructors_session_is_refused(
    visit: Visit, database: Database, people: Cast, clock: Clock
) -> None:
    other = Tablet(visit("other_instructor"), database, people, clock)
    (answer,) = other.answers(other.ride())
    assert (answer["answer"], answer["reason"]) == (
        "refused", "This session is another instructor's.",
    )  # fmt: skip
    assert kept(database) == []


def test_a_booking_cancelled_meanwhile_is_refused_until_it_is_back(
    tablet: Tablet, database: Database, people: Cast
) -> None:
    ride = tablet.ride()
    _set_booking(database, people, BookingState.CANCELLED)
    (answer,) = tablet.answers(ride)
    assert answer["answer"] == "refused"
    assert "Book the place at the desk" in answer["reason"]
    _set_booking(database, people, BookingState.BOOKED)
    assert tablet.send(ride) == ["saved"]


def _set_booking(db: Database, people: Cast, state: BookingState) -> None:
    with db.writing() as session:
        booking = session.get_one(BookingRow, people.booking)
        cancelled = state is BookingState.CANCELLED
        booking.state, booking.cancelled_at = state, START if cancelled else None


def test_too_many_items_and_too_many_bytes_are_refused_whole(
    tablet: Tablet, database: Database
) -> None:
    many = tablet.post(tablet.batch(*[tablet.ride() for _ in range(201)]))
    long = tablet.post(tablet.batch("x" * MOST_BYTES))
    huge = tablet.post(tablet.batch("x" * 3_000_000))
    assert [each.status_code for each in (many, long, huge)] == [413] * 3
    assert "at most 200 items and 256 KB" in many.get_json()["error"]
    assert long.is_json
    assert huge.is_json
    assert kept(database) == []
    assert tablet.send(*[tablet.ride() for _ in range(200)]) == ["saved"] * 200


@pytest.mark.parametrize("body", ["", "{", "[" * 100_000, "1" * 5000, '"\\ud800"', "NaN"])
def test_what_is_no_batch_is_a_plain_refusal(tablet: Tablet, body: str) -> None:
    headers = {"X-CSRFToken": tablet.token(), "Content-Type": "application/json"}
    response = tablet.client.post("/yard/sync", data=body, headers=headers)
    assert response.status_code == 422
    assert response.get_json()["error"].endswith("Nothing was kept.")


def test_a_bad_token_is_told_from_a_sign_in_that_is_over(
    tablet: Tablet, visit: Visit, database: Database
) -> None:
    wrong = tablet.post(tablet.batch(tablet.ride()), token="stale")
    assert (wrong.status_code, wrong.is_json) == (400, True)
    tablet.client.delete_cookie("yardmark")
    gone = tablet.post(tablet.batch(tablet.ride()), token="stale")
    assert (gone.status_code, gone.is_json) == (401, True)
    asked = tablet.client.get("/yard/sync/token", headers={"Accept": "application/json"})
    assert (asked.status_code, asked.is_json) == (401, True)
    assert kept(database) == []


def test_the_token_is_kept_by_nobody_and_says_who_is_there(tablet: Tablet, people: Cast) -> None:
    response = tablet.client.get("/yard/sync/token")
    assert response.headers["Cache-Control"] == "no-store"
    assert response.get_json()["account"] == people.instructor_account
    assert response.get_json()["name"] == "Ines Heron"


def test_a_locked_tablet_still_sends_and_stays_locked(
    tablet: Tablet, database: Database, clock: Clock
) -> None:
    ride = tablet.ride()
    clock.forward(minutes=45)
    assert tablet.send(ride) == ["saved"]
    page = tablet.client.get(f"/yard/sessions/{tablet.people.session}")
    assert page.location.startswith("/tablet")


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(noise=st.lists(JSON, max_size=4), changes=st.dictionaries(st.sampled_from(
    ["session", "student", "variant", "ridden_at", "seq", "speed_kmh", "faults", "mock_test"]
), JSON | st.integers(-1, 5)))  # fmt: skip
def test_no_json_breaks_it_or_moves_another_row(
    tablet: Tablet, database: Database, noise: list[Any], changes: dict[str, Any]
) -> None:
    others = [row.id for row in kept(database) if row.student_id != tablet.people.learner]
    item = tablet.ride(**changes)
    if _writes_as_json(item, noise):
        response = tablet.post(tablet.batch(item, *noise))
        assert response.status_code in (200, 422)
    assert others == [r.id for r in kept(database) if r.student_id != tablet.people.learner]
    assert all(row.session_id == tablet.people.session for row in kept(database))


def _writes_as_json(*sent: Any) -> bool:
    try:
        json.dumps(sent).encode()
    except (UnicodeEncodeError, ValueError):
        return False
    return True
