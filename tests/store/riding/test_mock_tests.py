"""Mock tests on both databases: begun once, ended, stopped, and read."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest
from sqlalchemy import select

from app.rules.accounts.roles import Actor
from app.rules.refusal import Missing, Refused
from app.rules.riding.values import Side
from app.rules.riding.verdict import ModuleResult
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.riding.mock_reads import mock_tests_of, running_test
from app.store.riding.mock_writes import start, stop
from app.store.riding.tables import MockLineRow, MockTestRow
from app.store.yards.tables import YardRow
from tests.store.riding.mock import begin, finish, new, read, ride_on
from tests.store.riding.rides import count
from tests.support.cast import Cast
from tests.support.clock import START


def test_it_keeps_what_it_asks_for_as_it_stood(either: Database, people: Cast, ines: Actor) -> None:
    test = begin(either, ines, people)
    with either.writing() as session:
        session.get_one(YardRow, people.yard).speed_run = False
    found = read(either, test)
    assert [line.variant.manoeuvre.place for line in found.lines] == [*range(1, 10)]
    assert found.lines[-1].variant.variant.code == "left"
    assert found.whole


def test_sent_twice_it_begins_once(either: Database, people: Cast, ines: Actor) -> None:
    one = new(people)
    assert start(either, ines, one, START) == start(either, ines, one, START) == one.mock_test_id
    assert (count(either, MockTestRow), count(either, MockLineRow)) == (1, 9)


def test_a_number_is_used_for_one_test(either: Database, people: Cast, ines: Actor) -> None:
    one = new(people)
    start(either, ines, one, START)
    with pytest.raises(Refused, match="another mock test"):
        start(either, ines, replace(one, side=Side.RIGHT), START)


def test_one_runs_at_a_time(either: Database, people: Cast, ines: Actor) -> None:
    test = begin(either, ines, people)
    with pytest.raises(Refused, match="running in this session"):
        begin(either, ines, people)
    stop(either, ines, test, "Out of time", START, START)
    begin(either, ines, people)
    assert count(either, MockTestRow) == 2


def test_only_where_the_rider_has_a_place_and_the_instructor_a_session(
    either: Database, people: Cast, ines: Actor, ivor: Actor
) -> None:
    with pytest.raises(Refused, match="no place in this session"):
        begin(either, ines, people, student_id=people.stranger)
    with pytest.raises(Refused, match="another instructor's"):
        begin(either, ivor, people)
    assert count(either, MockTestRow) == 0


def test_only_to_a_side_that_the_yard_allows(either: Database, people: Cast, ivor: Actor) -> None:
    here = {"session_id": people.other_session, "student_id": people.stranger}
    with pytest.raises(Refused, match="no safe way out to the left") as refused:
        begin(either, ivor, people, **here)
    assert refused.value.reasons[0].field == "side"
    begin(either, ivor, people, **here, side=Side.RIGHT)


def test_a_whole_clean_test_passes(either: Database, people: Cast, ines: Actor) -> None:
    test = begin(either, ines, people)
    ride_on(either, ines, test, 9)
    finish(either, ines, test)
    found = read(either, test)
    assert (found.verdict.result, found.turn) == (ModuleResult.PASSED, None)
    assert (found.bike, found.instructor, found.yard) == ("Bike 1", "Ines Heron", "Long yard")


def test_it_ends_once_and_only_with_nothing_left(
    either: Database, people: Cast, ines: Actor
) -> None:
    test = begin(either, ines, people)
    with pytest.raises(Refused, match="Park in the bay is still to be ridden"):
        finish(either, ines, test)
    ride_on(either, ines, test, 9)
    finish(either, ines, test, 30)
    finish(either, ines, test, 40)
    assert read(either, test).ended_at == START + timedelta(minutes=30)
    with pytest.raises(Refused, match="can no longer be stopped"):
        stop(either, ines, test, "Out of time", START, START)


def test_a_stopped_one_keeps_its_first_reason(either: Database, people: Cast, ines: Actor) -> None:
    test = begin(either, ines, people)
    ride_on(either, ines, test, 2)
    stop(either, ines, test, "Out of time", START, START)
    stop(either, ines, test, "Weather or surface", START, START)
    found = read(either, test)
    assert (found.stopped_reason, found.verdict.result) == ("Out of time", ModuleResult.STOPPED)
    assert len(found.rides) == 2
    with pytest.raises(Refused, match="stopped already"):
        finish(either, ines, test)


def test_another_instructors_is_missing(
    either: Database, people: Cast, ines: Actor, ivor: Actor
) -> None:
    test = begin(either, ines, people)
    with pytest.raises(Missing):
        stop(either, ivor, test, "Out of time", START, START)
    with pytest.raises(Missing):
        finish(either, ivor, test)
    with pytest.raises(Missing):
        read(either, test, instructor_id=people.other_instructor)
    with pytest.raises(Missing):
        read(either, test, student_id=people.stranger)
    with pytest.raises(Missing):
        read(either, uuid4())


def test_beginning_and_ending_are_audited_once_and_without_the_reason(
    either: Database, people: Cast, ines: Actor
) -> None:
    test = begin(either, ines, people)
    for _ in range(2):
        stop(either, ines, test, "Out of time", START, START)
    with either.reading() as session:
        kept = session.scalars(select(AuditEntryRow).where(AuditEntryRow.subject == "mock_tests"))
        assert [(e.action, e.subject_id, e.details) for e in kept] == [
            ("began", str(test), {}),
            ("stopped", str(test), {}),
        ]


def test_a_list_names_those_that_have_ended_newest_first(
    either: Database, people: Cast, ines: Actor
) -> None:
    tests = []
    for minutes in range(3):
        tests.append(begin(either, ines, people, started_at=START + timedelta(minutes=minutes)))
        if minutes < 2:
            stop(either, ines, tests[-1], "Out of time", START, START)
    with either.reading() as session:
        found = mock_tests_of(session, people.learner)
        assert [entry.id for entry in found] == [tests[1], tests[0]]
        assert all(entry.stopped for entry in found)
        assert mock_tests_of(session, people.stranger) == ()
        assert running_test(session, people.session, people.learner) == tests[2]
        assert running_test(session, people.other_session, people.stranger) is None
