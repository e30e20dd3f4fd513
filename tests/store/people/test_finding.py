"""Finding students and those who may be here twice, on both databases and at size."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from time import perf_counter
from uuid import uuid4

import pytest
from sqlalchemy import insert, select, text

from app.rules.categories import Category
from app.rules.people.alike import Common
from app.rules.people.students import StudentFacts
from app.rules.refusal import Missing, Refused
from app.store import settings
from app.store.database import Database
from app.store.people import reads, writes
from app.store.people.duplicates import like, suggestions, twins_of
from app.store.people.searching import search_anew
from app.store.people.tables import StudentRow
from app.store.school.writes import change_settings
from tests.support.clock import START
from tests.support.diary import DESK, add_students
from tests.support.queries import counted

TODAY = date(2026, 11, 26)
LENA = StudentFacts("Lena Wren", Category.A, "07700 900123", "lena@example.org")


def _add(database: Database, facts: StudentFacts = LENA, *, as_new: bool = False) -> int:
    return writes.add_student(database, DESK, facts, uuid4(), TODAY, START, as_new=as_new)


def _names(database: Database, typed: str) -> list[str]:
    with database.reading() as session:
        return [one.name for one in reads.students(session, typed).students]


@pytest.mark.parametrize(
    "typed",
    ["07700 900", "+44 7700", "7700900", "0044 7700 900", "+44 (0)7700", "wren 900123", "900 len"],
)
def test_a_part_of_a_number_is_found_in_any_writing(either: Database, typed: str) -> None:
    _add(either)
    add_students(either, 3)
    assert _names(either, typed) == ["Lena Wren"]


def test_names_that_begin_with_it_stand_first(either: Database) -> None:
    for name in ("Zara Wren", "Wrena Quill", "Ada McWren", "Wren Abel"):
        _add(either, StudentFacts(name, Category.A, "01632 960001"), as_new=True)
    assert _names(either, "wren") == ["Wren Abel", "Wrena Quill", "Zara Wren", "Ada McWren"]


def test_who_was_merged_away_is_not_found(either: Database) -> None:
    kept, gone = add_students(either, 2)
    with either.writing() as session:
        session.get_one(StudentRow, gone).merged_into_id = kept
    with either.reading() as session:
        assert reads.students(session, "rider").total == 1
        assert reads.kept_instead(session, gone) == kept
        assert suggestions(session).pairs == ()
        with pytest.raises(Missing):
            reads.student(session, gone)


def test_what_is_searched_by_is_worked_out_anew_once(either: Database) -> None:
    made = add_students(either, 2, phone="07700 900123", sought="old\n07700900123\n")
    assert _names(either, "+44 7700") == []
    assert search_anew(either) == 2
    assert len(_names(either, "+44 7700")) == len(made)
    with counted(either) as seen:
        assert search_anew(either) == 0
    assert len(seen) == 2
    with either.writing() as session:
        settings.keep(session, "phone_region", "FR")
    assert search_anew(either) == 2
    assert len(_names(either, "+33 7700900123")) == 2


def test_someone_here_already_is_told_of_before_they_are_added(either: Database) -> None:
    first = _add(either)
    again = StudentFacts("L. Wren", Category.A, "+447700900123")
    with pytest.raises(Refused, match="Lena Wren is on file already, with the same phone"):
        _add(either, again)
    with either.reading() as session, counted(either) as seen:
        (pair,) = like(session, again, "GB")
    assert len(seen) == 1
    assert (pair.one.id, pair.common) == (first, (Common.PHONE,))
    assert _add(either, again, as_new=True) != first
    with either.reading() as session:
        assert [each.one.id for each in twins_of(session, first)] == [first + 1]


def test_a_form_sent_twice_is_not_its_own_twin(either: Database) -> None:
    key = uuid4()
    made = [writes.add_student(either, DESK, LENA, key, TODAY, START) for _ in range(2)]
    assert made[0] == made[1]


def _crowd(database: Database, number: int) -> None:
    """Students with invented names of two words, each with a number and an email of their own."""
    first = ["Ada", "Ivo", "Zoë", "Łukasz", "Mab", "Nia", "Ola", "Per", "Quill", "Rosa"]
    last = ["Finch", "Heron", "Plover", "Crake", "Rook", "Tern", "Dunlin", "Sanderling"]
    rows = [
        {
            "name": f"{first[n % 10]} {last[n // 10 % 8]}{n // 80:03}",
            "category": Category.A,
            "phone": f"07{n:09}",
            "email": f"r{n}@example.org",
            "created_at": START,
        }
        for n in range(number)
    ]
    with database.writing() as session:
        session.execute(insert(StudentRow), rows)


@pytest.mark.slow
def test_ten_thousand_students_are_searched_while_somebody_types(
    either: Database, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every record is looked through, so the search is held against a bare scan of the table."""
    _crowd(either, 10_000)
    with either.reading() as session:
        scan = select(StudentRow.id).where(text("sought || '' = 'nobody'"))
        bare = _least(lambda: session.execute(scan).all())
        found = {
            typed: _least(lambda typed=typed: reads.students(session, typed))
            for typed in ("fin", "zoe finch", "07000 00", "r77@", "nobody here")
        }
        whole = _least(lambda: suggestions(session), 1)
    slowest = max(found.values())
    with capsys.disabled():
        print(
            f"\n10,000 students on {either.engine.dialect.name}: bare scan {bare * 1e3:.1f} ms, "
            f"search at most {slowest * 1e3:.1f} ms, all duplicates {whole * 1e3:.0f} ms"
        )
    # Two scans (to count, and to find), each with up to three comparisons for each record.
    assert slowest < 40 * bare + 0.02


def _least(run: object, times: int = 5) -> float:
    def one() -> float:
        start = perf_counter()
        run()  # type: ignore[operator]
        return perf_counter() - start

    return min(one() for _ in range(times))


def test_another_region_is_searched_by_at_once(either: Database) -> None:
    add_students(either, 1, phone="085 012 3456")
    assert _names(either, "+353 85") == []
    with either.reading() as session:
        wanted = replace(settings.load(session), phone_region="IE")
    change_settings(either, DESK, wanted, START)
    assert len(_names(either, "+353 85")) == 1
