"""Students from a file and to one, on both databases."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from uuid import uuid4

import pytest
from sqlalchemy import func, select

from app.rules.categories import Category
from app.rules.people.student_file import MOST_ROWS, StudentFile, read_students
from app.rules.people.students import StudentFacts
from app.rules.refusal import Refused
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.people import reads, writes
from app.store.people.student_files import judge, take_in, write_out
from app.store.people.tables import StudentRow
from tests.support.clock import START
from tests.support.databases import SqliteFactory
from tests.support.diary import DESK, add_students
from tests.support.queries import counted

TODAY = date(2026, 11, 26)
HEAD = "Name,Category,Phone,Email,Date of birth,Guardian,Notes\n"
GOOD = "Ada Finch,A2,+44 1632 960123,ADA@Example.org,17/05/2001,,\n"


def _file(rows: str) -> StudentFile:
    return read_students((HEAD + rows).encode())


def _take(database: Database, rows: str, *also: int) -> int:
    return take_in(database, DESK, _file(rows), also, uuid4(), TODAY, START)


def _all(database: Database) -> list[StudentFacts]:
    with database.reading() as session:
        rows = session.scalars(select(StudentRow).order_by(StudentRow.id))
        return [reads.facts_of(row) for row in rows]


def test_good_rows_are_kept_as_the_form_keeps_them(either: Database) -> None:
    assert _take(either, GOOD + "Zoe\u0308 Quill,a1,,z@example.org,,,-tall\n") == 2
    ada, zoe = _all(either)
    assert (ada.phone, ada.email, ada.date_of_birth) == (
        "01632 960123", "ada@example.org", date(2001, 5, 17),
    )  # fmt: skip
    assert (zoe.name, zoe.category, zoe.notes) == ("Zoë Quill", Category.A1, "-tall")
    with either.reading() as session:
        assert [one.name for one in reads.students(session, "7 441632").students] == []
        assert [one.name for one in reads.students(session, "+44 1632").students] == ["Ada Finch"]
        entries = session.execute(
            select(AuditEntryRow.action, AuditEntryRow.subject).order_by(AuditEntryRow.id)
        ).all()
    assert [tuple(entry) for entry in entries] == [
        *[("added", "students")] * 2,
        ("took in", "student_files"),
    ]


BAD = {
    ",A,1,,,,": "Name: Write the name.",
    "Ada,B,01632 960123,,,,": "Write the category as AM, A1, A2 or A.",
    "Ada,A,call,,,,": "Phone: Write the phone number in digits",
    "Ada,A,960123,,,,": "Phone: Write the area code too",
    "Ada,A,,ada@,,,": "Email: Write a whole email address",
    "Ada,A,,,,,": "Phone: Write a phone number or an email",
    "Ada,A,01632 960123,,2030-01-01,,": "Date of birth: This day is still to come.",
    "Ada,A,01632 960123,,,Joss,": "Phone of the guardian: Write the guardian's phone number too.",
    f"{'x' * 121},A,01632 960123,,,,": "Name: Use at most 120 characters.",
    f"Ada,A,01632 960123,,,,{'x' * 2001}": "Notes: Use at most 2000 characters.",
    "=1+1,A,01632 960123,,,,": "“Name” begins with = as a formula does.",
}


@pytest.mark.parametrize(("row", "words"), BAD.items())
def test_a_bad_row_is_told_with_its_line_and_left_out(
    either: Database, row: str, words: str
) -> None:
    with either.reading() as session:
        (bad,) = judge(session, _file(f"{GOOD}{row}\n"), TODAY).bad
    assert bad.line == 3
    assert words in " ".join(bad.reasons)
    assert _take(either, f"{GOOD}{row}\n", 3) == 1


def test_those_here_already_are_left_out_unless_they_are_ticked(either: Database) -> None:
    writes.add_student(either, DESK, StudentFacts("Ada Finch", Category.A, "01632 960123"),
                       uuid4(), TODAY, START)  # fmt: skip
    rows = GOOD + "Ivo Quill,A,01632 960124,,,,\nQuill Ivo,A,,ivo@example.org,,,\n"
    with either.reading() as session:
        alike = judge(session, _file(rows), TODAY).alike
    assert [(row.line, row.alike) for row in alike] == [
        (2, ("Ada Finch is on file already, with the same phone number and the same name.",)),
        (4, ("Line 3 of this file, Ivo Quill, has the same name.",)),
    ]
    assert _take(either, rows) == 1
    assert _take(either, rows, 2, 4) == 2


def test_a_form_sent_twice_adds_once(either: Database) -> None:
    key = uuid4()
    for _ in range(2):
        assert take_in(either, DESK, _file(GOOD), (), key, TODAY, START) == 1
    assert len(_all(either)) == 1


def test_where_nothing_can_be_added_nothing_is(either: Database) -> None:
    with pytest.raises(Refused, match="No student of this file can be added"):
        _take(either, ",A,1,,,,\n")
    with either.reading() as session:
        assert session.scalar(select(func.count()).select_from(AuditEntryRow)) == 0


def test_a_full_file_is_judged_in_two_queries(either: Database) -> None:
    add_students(either, 50)
    rows = "".join(f"Rider {n:05},A,,r{n}@example.org,,,\n" for n in range(MOST_ROWS))
    with either.reading() as session, counted(either) as seen:
        found = judge(session, _file(rows), TODAY)
    assert len(seen) == 2
    assert (len(found.good), len(found.alike)) == (MOST_ROWS - 50, 50)


HOSTILE = [
    StudentFacts("=HYPERLINK(1)", Category.A, "01632 960101", notes="+1,\r\n\"two\"\tthree"),
    StudentFacts("'-Ada; O’Hara", Category.AM, None, "a'b@example.org", notes="@x"),
    StudentFacts("علی\u200cرضا", Category.A2, "+33 1 99 00 12 34", notes="''=1"),
    StudentFacts("X", Category.A1, "01632 960102 x45", "x@example.org", date(2009, 2, 28),
                 "Robin", "01632 960103", "Joss", "07700 900104", "-"),
]  # fmt: skip


def test_what_is_written_out_comes_back_into_an_empty_school(
    either: Database, sqlite_factory: SqliteFactory
) -> None:
    for facts in HOSTILE:
        writes.add_student(either, DESK, facts, uuid4(), TODAY, START)
    text = write_out(either, DESK, START)
    assert not any(
        cell[:1] in "=+-@" for line in text.split("\r\n") for cell in line.split(",") if cell
    )
    empty = Database(sqlite_factory.fresh())
    try:
        take_in(empty, DESK, read_students(text.encode()), (), uuid4(), TODAY, START)
        assert sorted(_all(empty), key=repr) == sorted(HOSTILE, key=repr)
    finally:
        empty.close()


def test_the_audit_keeps_who_wrote_out_how_many_and_merged_ones_stay_out(either: Database) -> None:
    kept, gone = add_students(either, 2)
    with either.writing() as session:
        session.get_one(StudentRow, gone).merged_into_id = kept
    assert write_out(either, DESK, START).count("\r\n") == 2
    with either.reading() as session:
        entry = session.scalars(select(AuditEntryRow)).one()
    assert (entry.action, entry.details) == ("wrote out", {"students": 1})


def test_a_changed_number_is_kept_in_its_written_form_and_an_old_odd_one_is_left(
    either: Database,
) -> None:
    [made] = add_students(either, 1, phone="0163296")
    with either.reading() as session:
        facts = reads.student(session, made).facts
    writes.edit_student(either, DESK, made, 1, replace(facts, notes="Tall."), TODAY, START)
    with either.reading() as session:
        assert reads.student(session, made).facts.phone == "0163296"
    changed = replace(facts, phone="+441632960123")
    writes.edit_student(either, DESK, made, 2, changed, TODAY, START)
    with either.reading() as session:
        assert reads.student(session, made).facts.phone == "01632 960123"
