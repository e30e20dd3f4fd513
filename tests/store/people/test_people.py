"""Students and instructors as they are kept and found."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from uuid import uuid4

import pytest
from sqlalchemy import select

from app.rules.categories import Category
from app.rules.people.students import StudentFacts
from app.rules.refusal import Missing, Refused
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.people import reads, writes
from tests.support.clock import START
from tests.support.diary import DESK, add_students
from tests.support.queries import counted

TODAY = date(2026, 11, 26)
ZOE = StudentFacts("Zoë Ångström", Category.A2, "01632 960 777", "zoe@example.org")


def _add(database: Database, facts: StudentFacts = ZOE) -> int:
    return writes.add_student(database, DESK, facts, uuid4(), TODAY, START)


@pytest.mark.parametrize("typed", ["zoe", "ZOË", "ångst", "960777", "960 777", "zoe@ex", "ang zoe"])
def test_a_student_is_found_by_a_few_letters(either: Database, typed: str) -> None:
    made = _add(either)
    add_students(either, 3)
    with either.reading() as session:
        assert [one.id for one in reads.students(session, typed).students] == [made]


@pytest.mark.parametrize("typed", ["%", "_", "zoex", "\\", "'; --"])
def test_signs_that_mean_something_to_a_database_mean_nothing_here(
    either: Database, typed: str
) -> None:
    _add(either)
    with either.reading() as session:
        assert reads.students(session, typed).total == 0


def test_students_are_listed_by_name_in_pages(either: Database) -> None:
    add_students(either, reads.PAGE + 2)
    with either.reading() as session, counted(either) as seen:
        second = reads.students(session, "", 2)
        assert [one.name for one in second.students] == ["Rider 00050", "Rider 00051"]
        assert (second.total, second.page, second.pages) == (reads.PAGE + 2, 2, 2)
        assert len(seen) == 2
        assert reads.students(session, "", 99).page == 2
        assert reads.students(session, "", -5).page == 1


def test_a_changed_name_is_found_and_the_old_one_is_not(either: Database) -> None:
    made = _add(either)
    changed = replace(ZOE, name="Zora Quill", phone=None)
    writes.edit_student(either, DESK, made, 1, changed, TODAY, START)
    with either.reading() as session:
        assert reads.students(session, "quill").total == 1
        assert reads.students(session, "ang").total == 0
        assert reads.student(session, made).facts == changed
        entry = session.scalars(select(AuditEntryRow).order_by(AuditEntryRow.id.desc())).first()
    assert entry
    assert entry.details == {"fields": ["name", "phone"]}


def test_the_second_of_two_editors_is_told_and_changes_nothing(either: Database) -> None:
    made = _add(either)
    writes.edit_student(either, DESK, made, 1, replace(ZOE, notes="Left-handed"), TODAY, START)
    with pytest.raises(Refused, match="Someone changed this"):
        writes.edit_student(either, DESK, made, 1, replace(ZOE, notes="Tall"), TODAY, START)
    with either.reading() as session:
        assert reads.student(session, made).facts.notes == "Left-handed"


def test_a_record_kept_as_it_was_is_no_change(either: Database) -> None:
    made = _add(either)
    writes.edit_student(either, DESK, made, 1, ZOE, TODAY, START)
    with either.reading() as session:
        assert reads.student(session, made).version == 1


def test_a_form_sent_twice_makes_one_student(either: Database) -> None:
    key = uuid4()
    made = {writes.add_student(either, DESK, ZOE, key, TODAY, START) for _ in range(2)}
    assert len(made) == 1
    with either.reading() as session:
        assert reads.students(session, "").total == 1


def test_what_cannot_be_is_not_kept(either: Database) -> None:
    with pytest.raises(Refused, match="Write the name"):
        _add(either, replace(ZOE, name=" "))
    with pytest.raises(Missing):
        writes.edit_student(either, DESK, 99, 1, ZOE, TODAY, START)
    with either.reading() as session, pytest.raises(Missing):
        reads.student(session, 99)


def test_an_instructor_begins_and_stops_teaching(either: Database) -> None:
    made = writes.add_instructor(either, DESK, "Mab Costello", uuid4(), START)
    writes.set_teaching(either, DESK, made, START, active=False)
    with either.reading() as session:
        (one,) = reads.instructors(session)
    assert (one.name, one.active, one.has_account) == ("Mab Costello", False, False)
    with pytest.raises(Refused):
        writes.add_instructor(either, DESK, "", uuid4(), START)
    with pytest.raises(Missing):
        writes.set_teaching(either, DESK, 99, START, active=True)
