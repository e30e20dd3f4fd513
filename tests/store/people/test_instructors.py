"""An instructor's hours, days off and authorisations as they are kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta
from uuid import uuid4

import pytest
from sqlalchemy import func, select

from app.rules.people.authorisations import Authorisation, InstructorFacts
from app.rules.people.days import DaysOut, WeeklyHours
from app.rules.refusal import Missing, Refused
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.people import instructor_reads, instructor_writes
from app.store.people.instructor_reads import InstructorRecord
from app.store.people.tables import DayOffRow
from tests.support.calendar import TODAY, days_off, set_instructor
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import DESK

HOURS = (WeeklyHours(1, time(9), time(12)), WeeklyHours(1, time(13), time(17)))
HELD = {Authorisation.CBT: date(2027, 5, 1), Authorisation.DIRECT_ACCESS: None}


def _record(database: Database, instructor: int) -> InstructorRecord:
    with database.reading() as session:
        return instructor_reads.instructor(session, instructor, TODAY)


def _audit(database: Database) -> list[tuple[str, str, dict[str, object]]]:
    with database.reading() as session:
        rows = session.scalars(select(AuditEntryRow).order_by(AuditEntryRow.id))
        return [(row.action, row.subject, row.details) for row in rows]


def test_hours_and_authorisations_are_kept_and_audited(either: Database, people: Cast) -> None:
    set_instructor(either, people.instructor, HOURS, HELD)
    record = _record(either, people.instructor)
    assert record.facts == InstructorFacts("Ines Heron", HOURS, HELD)
    assert record.version == 2
    set_instructor(either, people.instructor, HOURS[:1], {Authorisation.CBT: None})
    again = _record(either, people.instructor)
    assert again.facts.hours == HOURS[:1]
    assert again.facts.authorisations == {Authorisation.CBT: None}
    changed = {"changed": "authorisations, hours"}
    assert _audit(either)[-2:] == [("changed", "instructors", changed)] * 2


def test_saving_what_is_there_changes_nothing(either: Database, people: Cast) -> None:
    set_instructor(either, people.instructor, HOURS, HELD)
    entries = len(_audit(either))
    set_instructor(either, people.instructor, HOURS, HELD)
    assert _record(either, people.instructor).version == 2
    assert len(_audit(either)) == entries


def test_of_two_who_change_one_instructor_the_second_is_told(
    either: Database, people: Cast
) -> None:
    facts = InstructorFacts("Ines Heron-Wren")
    arguments = (either, DESK, people.instructor, 1, facts, TODAY, START)
    instructor_writes.edit_instructor(*arguments)
    with pytest.raises(Refused, match="Someone changed this"):
        instructor_writes.edit_instructor(*arguments)
    assert _record(either, people.instructor).facts.name == "Ines Heron-Wren"


def test_an_unknown_instructor_is_missing(either: Database, people: Cast) -> None:
    with pytest.raises(Missing):
        instructor_writes.edit_instructor(
            either, DESK, 999, 1, InstructorFacts("Nobody"), TODAY, START
        )
    with pytest.raises(Missing):
        days_off(either, 999)


def test_days_off_come_and_go_and_the_audit_never_says_why(either: Database, people: Cast) -> None:
    out = DaysOut(TODAY, TODAY + timedelta(days=2), "Something private")
    key = uuid4()
    ids = {
        instructor_writes.add_days_off(either, DESK, people.instructor, out, key, TODAY, START)
        for _ in range(2)
    }
    assert len(ids) == 1
    (kept,) = _record(either, people.instructor).days_off
    assert kept.out == replace(out, instructor_id=people.instructor)
    instructor_writes.take_days_off_away(either, DESK, kept.id, START)
    assert _record(either, people.instructor).days_off == ()
    said = _audit(either)[-2:]
    assert [(action, subject) for action, subject, _ in said] == [
        ("added", "days_off"),
        ("took away", "days_off"),
    ]
    assert "private" not in str(said)
    with pytest.raises(Missing):
        instructor_writes.take_days_off_away(either, DESK, kept.id, START)


def test_days_off_that_cannot_be_are_refused_and_leave_nothing(
    either: Database, people: Cast
) -> None:
    with pytest.raises(Refused, match="These days are over"):
        days_off(either, people.instructor, TODAY - timedelta(days=1))
    with either.reading() as session:
        assert session.scalar(select(func.count()).select_from(DayOffRow)) == 0


def test_days_off_that_are_over_are_not_shown(either: Database, people: Cast) -> None:
    days_off(either, people.instructor, TODAY)
    with either.reading() as session:
        tomorrow = TODAY + timedelta(days=1)
        assert instructor_reads.instructor(session, people.instructor, tomorrow).days_off == ()
