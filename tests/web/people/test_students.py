"""Students at the desk: found, added, changed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask

from app.store.database import Database
from app.store.people import reads
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.diary import add_students
from tests.support.queries import counted

Visit = Callable[[str | None], Visitor]
NEW = "/students/new"
GOOD = {"name": "Ada Finch", "category": "A2", "phone": "01632 960123"}


def _total(database: Database) -> int:
    with database.reading() as session:
        return reads.students(session).total


def test_the_only_match_is_opened_and_several_are_listed(visit: Visit) -> None:
    desk = visit("desk")
    assert desk.get("/students?q=wre&open=1").heading == "Lena Wren"
    page = desk.get("/students?q=01632&open=1")
    assert "2 students with “01632”" in page.text
    assert desk.get("/students?q=wre").heading == "Students"


@pytest.mark.parametrize("q", ["zzz", "%25", "<b>", "x" * 500])
def test_what_nobody_is_called_is_said_in_words(visit: Visit, q: str) -> None:
    assert "Nobody here has" in visit("desk").get(f"/students?q={q}&open=1").text


def test_what_no_keyboard_makes_is_passed_over(visit: Visit) -> None:
    assert visit("desk").get("/students?q=w%00ren&open=1").heading == "Lena Wren"


@pytest.mark.parametrize("page", ["0", "-1", "99", "x", "9" * 40])
def test_a_page_that_is_not_there_shows_the_nearest(
    visit: Visit, database: Database, people: Cast, page: str
) -> None:
    add_students(database, 60)
    assert "of 2" in visit("desk").get(f"/students?page={page}").text


def test_a_student_is_added_with_what_is_needed_first(visit: Visit, database: Database) -> None:
    page = visit("desk").send(NEW, GOOD)
    assert page.heading == "Ada Finch"
    assert "Ada Finch is on file." in page.text


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", "", "Write the name."),
        ("name", "   ", "Write the name."),
        ("name", "x" * 121, "Use at most 120 characters. This has 121."),
        ("phone", "", "Write a phone number or an email"),
        ("phone", "call me", "Write the phone number in digits"),
        ("phone", "1" * 41, "Use at most 40 characters."),
        ("email", "ada@", "Write a whole email address"),
        ("email", "x" * 255, "Use at most 254 characters."),
        ("category", "B", "Choose one from the list."),
        ("category", None, "Choose the category."),
        ("category", "", "Choose the category."),
    ],
)
def test_a_bad_value_is_refused_at_its_field_and_the_rest_is_kept(
    visit: Visit, database: Database, field: str, typed: Any, sentence: str
) -> None:
    before = _total(database)
    page = visit("desk").send(NEW, GOOD | {field: typed}, status=422)
    assert sentence in page.error_beside(field)
    if field != "name":
        assert 'value="Ada Finch"' in page.html
    assert _total(database) == before


def test_an_email_alone_is_enough_and_is_kept_in_lower_case(
    visit: Visit, database: Database
) -> None:
    visit("desk").send(NEW, GOOD | {"phone": "", "email": " Ada@Example.ORG "})
    with database.reading() as session:
        assert reads.students(session, "ada@").students[0].email == "ada@example.org"


def test_a_form_sent_twice_adds_one_student(visit: Visit, database: Database) -> None:
    desk = visit("desk")
    page = desk.get(NEW)
    before = _total(database)
    assert desk.submit(page, GOOD).path == desk.submit(page, GOOD).path
    assert _total(database) == before + 1


EDIT = {
    "date_of_birth": "2009-05-17",
    "guardian_name": "Joss Finch",
    "guardian_phone": "01632 960124",
    "notes": "Left-handed.",
}


def test_the_record_is_changed(visit: Visit, people: Cast) -> None:
    page = visit("desk").send(f"/students/{people.learner}/edit", EDIT)
    for words in ("The record is kept.", "Joss Finch , 01632 960124", "Sun 17 May 2009"):
        assert words in page.text


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("date_of_birth", "2009-02-29", "Write a day that exists"),
        ("date_of_birth", "2030-01-01", "still to come"),
        ("date_of_birth", "0001-01-01", "Check the year."),
        ("guardian_phone", "", "Write the guardian's phone number too."),
        ("emergency_phone", "12", "6 to 15 digits"),
        ("notes", "x" * 2001, "Use at most 2000 characters."),
        ("name", "", "Write the name."),
    ],
)
def test_a_bad_change_is_refused_at_its_field(
    visit: Visit, database: Database, people: Cast, field: str, typed: str, sentence: str
) -> None:
    path = f"/students/{people.learner}/edit"
    page = visit("desk").send(path, EDIT | {field: typed}, status=422)
    assert sentence in page.error_beside(field)
    assert 'value="Joss Finch"' in page.html
    with database.reading() as session:
        assert reads.student(session, people.learner).version == 1


def test_two_who_change_one_record_do_not_overwrite_each_other(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    page = desk.get(f"/students/{people.learner}/edit")
    desk.submit(page, {"notes": "First."})
    answer = desk.submit(page, {"notes": "Second."}, status=422)
    assert "Someone changed this since you opened it." in answer.text
    assert "Second." in answer.html
    with database.reading() as session:
        assert reads.student(session, people.learner).facts.notes == "First."


def test_a_record_that_is_not_there_is_not_found(visit: Visit) -> None:
    visit("desk").get("/students/999/edit", status=404)
    visit("desk").get(f"/students/{10**20}/edit", status=404)


def test_an_instructor_changes_no_records(visit: Visit, people: Cast) -> None:
    visit("instructor").get(f"/students/{people.learner}/edit", status=403)
    visit("instructor").get(NEW, status=403)


def test_somebody_on_file_already_is_pointed_out_before_another_is_added(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk, before = visit("desk"), _total(database)
    twin = {"name": "L. Wren", "category": "A", "phone": "+44 1632 960001"}
    page = desk.send(NEW, twin, status=422)
    assert "Lena Wren is on file already, with the same phone number." in page.text
    assert "Open the record of Lena Wren: the same phone" in page.error_beside("as_new")
    assert f'href="/students/{people.learner}"' in page.html
    assert _total(database) == before
    page = desk.submit(page, {"as_new": "y"})
    assert "L. Wren is on file." in page.text
    assert _total(database) == before + 1


def test_other_mistakes_are_told_without_looking_for_twins(visit: Visit) -> None:
    page = visit("desk").send(NEW, {"name": "", "phone": "01632 960001"}, status=422)
    assert "on file already" not in page.text


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("+441632960123", "01632 960123"),
        ("01632 960123 ext 4", "01632 960123 x4"),
        ("0033 1 99 00 12 34", "+33 1 99 00 12 34"),
    ],
)
def test_a_number_is_shown_in_one_writing_and_dialled_in_another(
    visit: Visit, typed: str, kept: str
) -> None:
    page = visit("desk").send(NEW, GOOD | {"phone": typed})
    assert kept in page.text
    assert 'href="tel:+' in page.html


@pytest.mark.parametrize(
    "name", ["محمد علي", "山田太郎", "Łucja", "Zoe\u0308", "X" * 120, "Ada\u200b Finch"]
)
def test_a_name_in_any_script_and_length_is_kept_shown_and_found(visit: Visit, name: str) -> None:
    desk = visit("desk")
    page = desk.send(NEW, GOOD | {"name": name})
    assert page.heading == name.replace("\u200b", "").replace("Zoe\u0308", "Zoë")
    assert desk.get(f"/students?q={name}&open=1").heading == page.heading


def test_a_search_is_a_fixed_number_of_queries(
    visit: Visit, app: Flask, database: Database
) -> None:
    desk, school = visit("desk"), app.extensions["yardmark_database"]
    with counted(school) as few:
        desk.get("/students?q=rid")
    add_students(database, 120)
    with counted(school) as many:
        assert "120 students with “rid”" in desk.get("/students?q=rid").text
    assert len(few) == len(many)
