"""Two records of one person become one, on both databases."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from itertools import permutations
from threading import Barrier
from typing import Any
from uuid import uuid4

import pytest
from sqlalchemy import func, insert, select, update

from app.rules.categories import Category
from app.rules.diary.values import SessionKind, TestModule, TestResult
from app.rules.papers.values import PaperKind
from app.rules.people.messages import MessageKind
from app.rules.refusal import Missing, Refused
from app.rules.riding.recording import Word
from app.rules.riding.safety import IncidentKind
from app.rules.school.merging import Pick
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary.tables import (
    BookingRow,
    CalendarFeedRow,
    CourseRow,
    TestAppointmentRow,
    WaitingRow,
)
from app.store.outbox import MessageRow
from app.store.papers.tables import PaperRow
from app.store.people import reads
from app.store.people.tables import StudentRow, UnwantedMessageRow
from app.store.progress.results import real_results
from app.store.progress.states import load_states, parameters
from app.store.progress.tables import GivenChanceRow, LearnerRow, StandingRow
from app.store.progress.writes import rebuild, record_rides, settle_results
from app.store.riding.safety_tables import IncidentRow
from app.store.riding.tables import AttemptRow, MockTestRow
from app.store.schema import METADATA
from app.store.school.holdings import DERIVED, JOINED, MOVED, POINTING, holdings
from app.store.school.merging import Merger, merge
from app.store.school.twins import comparison
from tests.store.school.twins import TODAY, TWIN, add_twin, make_one
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK, TOMORROW, add_session, book
from tests.support.queries import counted
from tests.support.riding import a_ride, ines, past_session, variant


def test_every_table_that_knows_students_is_known_here() -> None:
    known = {
        (owner.class_.__tablename__, owner.key)
        for owner in (*(each for each, *_ in MOVED), *DERIVED, *JOINED, *POINTING)
    }
    found = {
        (table.name, key.parent.name)
        for table in METADATA.tables.values()
        for key in table.foreign_keys
        if key.column.table.name == "students"
    }
    assert found == known


def _belongings(database: Database, people: Cast, owner: int) -> None:
    """One row of everything that a student can have, and a ride that counts."""
    training = past_session(database, people, 5)
    mock = uuid4()
    common: dict[str, Any] = {"student_id": owner}
    span = {"session_id": training, "started_at": START, "ended_at": START}
    rows: list[tuple[Any, dict[str, Any]]] = [
        (MockTestRow, {"id": mock, **span}),
        (TestAppointmentRow, {"module": TestModule.MODULE_1, "centre": "Port Ellery",
                              "starts_at": START - timedelta(days=1), "result": TestResult.PASS}),
        (PaperRow, {"kind": PaperKind.CBT, "issued_on": TODAY, "checked_at": START}),
        (CourseRow, {"name": "Two days", "booked_at": START}),
        (WaitingRow, {"kind": SessionKind.MODULE_1, "earliest": TODAY, "latest": TODAY,
                      "asked_at": START}),
        (MessageRow, {"recipient": "l@example.net", "subject": "S", "body": "B",
                      "made_at": START}),
        (CalendarFeedRow, {"digest": f"{owner}", "made_at": START}),
        (IncidentRow, {"id": uuid4(), "session_id": training, "kind": IncidentKind.NEAR_MISS,
                       "happened_at": START, "received_at": START}),
        (UnwantedMessageRow, {"kind": MessageKind.OFFER}),
    ]  # fmt: skip
    with database.writing() as session:
        session.execute(
            update(BookingRow)
            .where(BookingRow.session_id == training)
            .values(student_id=owner, bike_id=people.other_bike)
        )
        for table, facts in rows:
            session.execute(insert(table).values(**common, **facts))
    ride = a_ride(people, variant(database, "u_turn"), training, days=5, student_id=owner)
    (answer,) = record_rides(database, ines(people), [ride], START)
    assert answer.word is Word.SAVED, answer.reason


def _owned(database: Database, student_id: int) -> dict[str, int]:
    owners = (*(owner for owner, *_ in MOVED), *DERIVED, *JOINED)
    with database.reading() as session:
        return {
            owner.class_.__tablename__: session.scalar(
                select(func.count()).where(owner == student_id)
            )
            or 0
            for owner in owners
        }


def test_all_that_the_other_record_had_goes_over(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    _belongings(either, people, twin)
    before, theirs = _owned(either, people.learner), _owned(either, twin)
    assert min(theirs.values()) > 0
    make_one(either, people.learner, twin)
    assert set(_owned(either, twin).values()) == {0}
    after = _owned(either, people.learner)
    for owner, *_ in MOVED:
        name = owner.class_.__tablename__
        assert after[name] == before[name] + theirs[name]
    assert after["unwanted_messages"] == 1


def test_what_both_do_not_want_is_unwanted_once(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    kinds = {people.learner: [MessageKind.OFFER], twin: [MessageKind.OFFER, MessageKind.CHANGE]}
    with either.writing() as session:
        rows = [UnwantedMessageRow(student_id=s, kind=k) for s, kept in kinds.items() for k in kept]
        session.add_all(rows)
    make_one(either, people.learner, twin)
    assert _owned(either, people.learner)["unwanted_messages"] == 2


def test_the_standings_are_those_of_all_rides_together(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    own = past_session(either, people, 9)
    rides = [a_ride(people, variant(either, "u_turn"), own, n, days=9) for n in range(3)]
    record_rides(either, ines(people), rides, START)
    _belongings(either, people, twin)
    settle_results(either)
    make_one(either, people.learner, twin)
    merged = _known(either, people.learner)
    rebuild(either)
    assert _known(either, people.learner) == merged
    assert merged[1][0][0] != 0.0
    with either.reading() as session:
        assert session.scalar(select(func.count()).select_from(AttemptRow)) == 4
        assert session.get(LearnerRow, twin) is None
        counted_rides = select(func.sum(StandingRow.rides))
        assert session.scalar(counted_rides.where(StandingRow.student_id == people.learner)) == 4


def _known(database: Database, student: int) -> tuple[object, list[tuple[float, bool]]]:
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(GivenChanceRow)) == 1
        return load_states(session, [student], parameters(session))[student], real_results(session)


def test_the_desk_chooses_what_stays(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    picks = {"phone": Pick.OTHER, "email": Pick.OTHER, "category": Pick.KEPT, "notes": Pick.OTHER}
    make_one(either, people.learner, twin, **picks)
    with either.reading() as session:
        facts = reads.student(session, people.learner).facts
        assert (facts.name, facts.phone, facts.email, facts.notes) == (
            "Lena Wren", TWIN.phone, TWIN.email, "Tall.",
        )  # fmt: skip
        assert facts.category is Category.A
        found = reads.students(session, "960009").students
        assert [one.id for one in found] == [people.learner]
        assert reads.students(session, "wrenn").total == 0


def test_notes_can_be_joined_while_there_is_room(either: Database, people: Cast) -> None:
    twin = add_twin(either, replace(TWIN, notes="y" * 1500))
    with either.writing() as session:
        session.get_one(StudentRow, people.learner).notes = "x" * 600
    with pytest.raises(Refused, match="Use at most 2000 characters"):
        make_one(either, people.learner, twin, notes=Pick.BOTH)
    assert _owned(either, twin) == _owned(either, twin)
    with either.reading() as session:
        assert reads.student(session, twin).facts.notes == "y" * 1500


def test_the_other_record_stays_for_the_audit_alone(either: Database, people: Cast) -> None:
    twin, third = add_twin(either), add_twin(either)
    make_one(either, twin, third)
    make_one(either, people.learner, twin)
    with either.reading() as session:
        for gone in (twin, third):
            row = session.get_one(StudentRow, gone)
            assert (row.merged_into_id, row.name) == (people.learner, "Lena Wrenn")
            with pytest.raises(Missing):
                reads.student(session, gone)
        entries = session.execute(
            select(AuditEntryRow.action, AuditEntryRow.subject_id, AuditEntryRow.details)
            .where(AuditEntryRow.action.startswith("merged"))
            .order_by(AuditEntryRow.id)
        ).all()
    assert [tuple(entry) for entry in entries][2:] == [
        ("merged", str(people.learner), {"record": twin, "moved": []}),
        ("merged into", str(twin), {"record": people.learner}),
    ]


def test_two_places_at_one_time_are_cancelled_first(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    book(either, add_session(either, people), people.learner, people.bike)
    elsewhere = {
        "yard_id": people.small_yard,
        "places": 3,
        "instructor_id": people.other_instructor,
    }
    book(either, add_session(either, people, **elsewhere), twin, None)
    with pytest.raises(Refused, match="Fri 27 Nov 2026, 09:00 here, and Fri 27 Nov 2026, 09:00 on"):
        make_one(either, people.learner, twin)
    assert _owned(either, twin)["bookings"] == 1


def test_places_one_after_the_other_are_no_clash(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    book(either, add_session(either, people), people.learner, people.bike)
    after = add_session(either, people, day=TOMORROW + timedelta(days=1))
    book(either, after, twin, None)
    make_one(either, people.learner, twin)
    assert _owned(either, people.learner)["bookings"] == 3


def test_someone_quicker_is_told_of_and_twice_is_once(either: Database, people: Cast) -> None:
    twin = add_twin(either)
    stale = Merger(people.learner, twin, 7, 1, {})
    with pytest.raises(Refused, match="Someone changed this"):
        merge(either, DESK, stale, TODAY, START)
    make_one(either, people.learner, twin)
    again = Merger(people.learner, twin, 1, 1, {})
    assert merge(either, DESK, again, TODAY, START) == people.learner
    for kept, other in ((twin, people.learner), (people.learner, 999), (999, people.learner)):
        with pytest.raises(Missing):
            merge(either, DESK, Merger(kept, other, 1, 1, {}), TODAY, START)


def test_a_tablet_that_still_knows_the_other_record_loses_no_ride(
    either: Database, people: Cast
) -> None:
    twin = add_twin(either)
    training = past_session(either, people, 5)
    with either.writing() as session:
        mine = update(BookingRow).where(BookingRow.session_id == training)
        session.execute(mine.values(student_id=twin))
    early, late = (
        a_ride(people, variant(either, "u_turn"), training, n, days=5, student_id=twin)
        for n in range(2)
    )
    record_rides(either, ines(people), [early], START)
    make_one(either, people.learner, twin)
    answers = record_rides(either, ines(people), [early, late], START)
    assert [answer.word for answer in answers] == [Word.ALREADY_HAD, Word.SAVED]
    assert _owned(either, people.learner)["attempts"] == 2
    assert _owned(either, people.learner)["standings"] == 1


def test_two_records_are_compared_in_a_fixed_number_of_queries(
    either: Database, people: Cast
) -> None:
    twin = add_twin(either)
    with either.reading() as session:
        with counted(either) as few:
            found = comparison(session, people.learner, twin, START.tzinfo)  # type: ignore[arg-type]
        assert (found.kept.holds, found.other.holds, found.obstacles) == (("1 booking",), (), ())
    _belongings(either, people, twin)
    with either.reading() as session, counted(either) as many:
        comparison(session, people.learner, twin, START.tzinfo)  # type: ignore[arg-type]
        assert "1 wish on the waiting list" in holdings(session, twin)
    assert len(few) == len(many) - 1 == 7  # and one for what the twin has
    with either.reading() as session, pytest.raises(Missing):
        comparison(session, twin, twin, START.tzinfo)  # type: ignore[arg-type]


def test_of_two_desks_that_keep_different_ones_one_wins(either: Database, people: Cast) -> None:
    twin, start = add_twin(either), Barrier(2)

    def keep(kept: int, other: int) -> int | None:
        start.wait()
        try:
            return merge(either, DESK, Merger(kept, other, 1, 1, {}), TODAY, START)
        except (Missing, Refused):
            return None

    with ThreadPoolExecutor(2) as pool:
        answers = [pool.submit(keep, *both) for both in permutations((people.learner, twin))]
    kept = {answer.result() for answer in answers} - {None}
    assert len(kept) == 1
    with either.reading() as session:
        gone = session.scalars(select(StudentRow.id).where(StudentRow.merged_into_id.in_(kept)))
        assert set(gone) == {people.learner, twin} - kept
