"""Rides are kept once each, marked by the rules, and only where they can have been ridden."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from threading import Barrier, Thread
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import select, update

from app.rules.accounts.roles import Actor, Role
from app.rules.categories import Category
from app.rules.diary.values import BookingState
from app.rules.riding.recording import NewRide, Word
from app.rules.riding.values import Outcome, Severity, Side
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.progress.writes import record_rides
from app.store.riding.tables import AttemptFaultRow, AttemptRow, FaultKindRow, VariantRow
from app.store.yards.tables import BikeRow, YardRow
from tests.store.riding.rides import (
    CONE,
    REMARK,
    STALL,
    count,
    keep,
    kept,
    refusal,
    ride,
    timed,
    variant_id,
)
from tests.support.cast import Cast
from tests.support.clock import START


def test_a_ride_is_kept_with_who_recorded_it_and_on_which_bike(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = ride(either, people)
    assert keep(either, ines, one) == [Word.SAVED]
    row = kept(either, one.attempt_id)
    assert (row.recorded_by, row.bike_id) == (people.instructor_account, people.bike)
    assert (row.ridden_at, row.received_at) == (START, START)
    assert row.outcome is Outcome.CLEAN


def test_faults_are_kept_in_the_order_in_which_they_were_seen(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = ride(either, people, faults=(REMARK, CONE, replace(STALL, severity=Severity.SERIOUS)))
    keep(either, ines, one)
    with either.reading() as session:
        found = session.execute(
            select(FaultKindRow.code, AttemptFaultRow.severity, AttemptFaultRow.side)
            .join(FaultKindRow, AttemptFaultRow.fault_kind_id == FaultKindRow.id)
            .order_by(AttemptFaultRow.place)
        ).all()
    assert [tuple(each) for each in found] == [
        ("looked_down", Severity.REMARK, None),
        ("cone_touched", Severity.SERIOUS, Side.LEFT),
        ("stall", Severity.SERIOUS, None),
    ]


@pytest.mark.parametrize(
    ("kmh", "second_try", "outcome"),
    [
        (50.0, False, Outcome.CLEAN),
        (49.9, False, Outcome.RIDING),
        (48.0, False, Outcome.RIDING),
        (47.9, False, Outcome.RIDE_AGAIN),
        (47.9, True, Outcome.SERIOUS),
        (None, False, Outcome.UNMEASURED),
    ],
)
def test_the_speed_is_marked_by_the_minimum_of_the_category(
    either: Database,
    people: Cast,
    ines: Actor,
    kmh: float | None,
    second_try: bool,
    outcome: Outcome,
) -> None:
    one = timed(either, people, kmh, second_try=second_try)
    keep(either, ines, one)
    row = kept(either, one.attempt_id)
    assert (row.outcome, row.speed_kmh) == (outcome, kmh)


def test_the_minimum_is_that_of_the_bike_ridden(
    either: Database, people: Cast, ines: Actor
) -> None:
    with either.writing() as session:
        session.execute(update(BikeRow).values(category=Category.AM))
    one = timed(either, people, 30.0)
    keep(either, ines, one)
    assert kept(either, one.attempt_id).outcome is Outcome.CLEAN


def test_recording_a_ride_twice_changes_nothing(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = ride(either, people, faults=(CONE, REMARK))
    assert keep(either, ines, one, one) == [Word.SAVED, Word.ALREADY_HAD]
    later = replace(one, ridden_at=START + timedelta(seconds=2))
    assert keep(either, ines, later) == [Word.ALREADY_HAD]
    assert (count(either, AttemptRow), count(either, AttemptFaultRow)) == (1, 2)
    assert kept(either, one.attempt_id).ridden_at == START


def test_a_ride_struck_out_and_sent_again_stays_struck_out(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = ride(either, people)
    keep(either, ines, one)
    with either.writing() as session:
        session.get_one(AttemptRow, one.attempt_id).struck_at = START
        session.get_one(AttemptRow, one.attempt_id).struck_reason = "Wrong rider"
    assert keep(either, ines, one) == [Word.ALREADY_HAD]
    assert kept(either, one.attempt_id).struck_reason == "Wrong rider"


@pytest.mark.parametrize(
    "other",
    [
        {"faults": (STALL,)},
        {"faults": (replace(CONE, side=Side.RIGHT),)},
        {"faults": (replace(CONE, severity=Severity.DANGEROUS),)},
        {"second_try": True},
        {"student_id": 999},
        {"variant_id": 999},
    ],
)
def test_another_ride_under_the_same_number_is_refused(
    either: Database, people: Cast, ines: Actor, other: dict[str, object]
) -> None:
    one = ride(either, people, faults=(CONE,))
    keep(either, ines, one)
    changed = replace(one, **other)  # type: ignore[arg-type]
    assert "it was another one" in refusal(either, ines, changed)
    assert count(either, AttemptFaultRow) == 1


def test_the_same_ride_sent_at_once_from_four_places_is_kept_once(
    either: Database, people: Cast, ines: Actor
) -> None:
    one, together = ride(either, people, faults=(CONE,)), Barrier(4)
    said: list[Word] = []

    def send() -> None:
        together.wait(timeout=10)
        said.extend(keep(either, ines, one))

    senders = [Thread(target=send) for _ in range(4)]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join(timeout=30)
    assert sorted(said) == [Word.ALREADY_HAD] * 3 + [Word.SAVED]
    assert (count(either, AttemptRow), count(either, AttemptFaultRow)) == (1, 1)


def test_one_ride_that_is_refused_keeps_no_other_out(
    either: Database, people: Cast, ines: Actor
) -> None:
    rides = [ride(either, people), ride(either, people, student_id=999), ride(either, people)]
    assert keep(either, ines, *rides) == [Word.SAVED, Word.REFUSED, Word.SAVED]


def test_the_first_ride_marks_the_booking_as_attended_once(
    either: Database, people: Cast, ines: Actor
) -> None:
    keep(either, ines, ride(either, people), ride(either, people))
    with either.reading() as session:
        booking = session.get_one(BookingRow, people.booking)
        assert (booking.state, booking.version) == (BookingState.ATTENDED, 2)
        entries = session.scalars(select(AuditEntryRow).filter_by(subject="bookings")).all()
        assert [(e.action, e.subject_id) for e in entries] == [("attended", str(people.booking))]


def test_only_the_sessions_instructor_and_an_owner_record_in_it(
    either: Database, people: Cast, ines: Actor, ivor: Actor
) -> None:
    one = ride(either, people)
    assert refusal(either, ivor, one) == "This session is another instructor's."
    owner = Actor(people.owner, "Olive Marsh", frozenset({Role.OWNER}), "test")
    assert keep(either, owner, one) == [Word.SAVED]


def test_an_instructor_without_a_record_of_their_own_records_nowhere(
    either: Database, people: Cast
) -> None:
    nobody = Actor(people.desk, "Dev Rook", frozenset({Role.INSTRUCTOR}), "test")
    assert refusal(either, nobody, ride(either, people)) == "This session is another instructor's."


@pytest.mark.parametrize("facts", [{"session_id": 999}, {"student_id": 999}])
def test_a_rider_without_a_place_in_the_session_is_refused(
    either: Database, people: Cast, ines: Actor, facts: dict[str, Any]
) -> None:
    assert "no place in this session" in refusal(either, ines, ride(either, people, **facts))


def test_a_student_of_another_session_is_refused(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = ride(either, people, student_id=people.stranger)
    assert "no place in this session" in refusal(either, ines, one)


@pytest.mark.parametrize("state", [BookingState.CANCELLED, BookingState.NO_SHOW])
def test_a_booking_that_holds_no_place_takes_no_ride(
    either: Database, people: Cast, ines: Actor, state: BookingState
) -> None:
    with either.writing() as session:
        booking = session.get_one(BookingRow, people.booking)
        booking.state = state
        booking.cancelled_at = START if state is BookingState.CANCELLED else None
    assert "no place in this session" in refusal(either, ines, ride(either, people))


def test_a_cancelled_session_takes_no_ride(either: Database, people: Cast, ines: Actor) -> None:
    with either.writing() as session:
        session.execute(update(SessionRow).values(cancelled_at=START))
    assert "no place in this session" in refusal(either, ines, ride(either, people))


def test_a_session_of_another_day_takes_no_ride_before_its_day(
    either: Database, people: Cast, ines: Actor
) -> None:
    later = {"starts_at": START + timedelta(days=1), "ends_at": START + timedelta(days=1, hours=2)}
    with either.writing() as session:
        session.execute(update(SessionRow).values(**later))
    assert "This session begins later" in refusal(either, ines, ride(either, people))


def test_a_manoeuvre_that_is_not_in_the_syllabus_is_refused(
    either: Database, people: Cast, ines: Actor
) -> None:
    one = ride(either, people)
    unknown = replace(one, variant_id=999)
    assert refusal(either, ines, unknown) == "That manoeuvre is not in the syllabus any more."
    with either.writing() as session:
        session.execute(update(VariantRow).filter_by(id=one.variant_id).values(retired=True))
    assert refusal(either, ines, one) == "That manoeuvre is not in the syllabus any more."


def avoidance(either: Database, people: Cast, side: str) -> NewRide:
    """An avoidance of the stranger in Ivor's session, which is in the small yard."""
    return ride(
        either,
        people,
        session_id=people.other_session,
        student_id=people.stranger,
        variant_id=variant_id(either, "avoidance", side),
    )


def test_a_yard_without_a_way_out_to_the_left_takes_the_avoidance_to_the_right_only(
    either: Database, people: Cast, ivor: Actor
) -> None:
    left, right = (avoidance(either, people, side) for side in ("left", "right"))
    assert refusal(either, ivor, left) == "This yard has no safe way out to the left."
    assert keep(either, ivor, right) == [Word.SAVED]


def test_a_yard_without_room_takes_no_run_at_speed(
    either: Database, people: Cast, ines: Actor
) -> None:
    with either.writing() as session:
        session.execute(update(YardRow).values(speed_run=False))
    said = refusal(either, ines, timed(either, people, 50.0))
    assert said == "This yard has no room for the run at speed."


def test_facts_that_cannot_be_are_refused_in_one_sentence_each(
    either: Database, people: Cast, ines: Actor
) -> None:
    faults = (STALL, replace(STALL, side=Side.LEFT))
    said = refusal(either, ines, timed(either, people, 151.0, faults=faults))
    assert said == "A speed lies between 0 and 150 km/h. Stall has no left or right."


def test_a_batch_of_fifty_reads_what_its_rides_share_once(
    either: Database, people: Cast, ines: Actor
) -> None:
    rides = [replace(ride(either, people), attempt_id=uuid4()) for _ in range(50)]
    answers = record_rides(either, ines, rides, START)
    assert {answer.word for answer in answers} == {Word.SAVED}
    assert count(either, AttemptRow) == 50
