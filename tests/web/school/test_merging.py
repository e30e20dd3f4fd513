"""Students who are here twice: found, compared, and made one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from app.rules.accounts.access import ACCESS
from app.store.database import Database
from app.store.people import reads
from app.store.people.tables import StudentRow
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.diary import add_session, add_students, book
from tests.support.queries import counted
from tests.support.walk import Records

Visit = Callable[[str | None], Visitor]


@pytest.fixture
def twin(database: Database, people: Cast) -> int:
    """A second record of Lena, with another phone and notes."""
    facts: dict[str, Any] = {"name": "Wren Léna", "phone": "07700 900123", "notes": "Tall."}
    [made] = add_students(database, 1, **facts)
    return made


def test_pairs_are_shown_with_their_reason(visit: Visit, people: Cast, twin: int) -> None:
    page = visit("desk").get("/students/duplicates")
    assert "Lena Wren and Wren Léna They have the same name." in page.text
    assert f'href="/students/{people.learner}/merge/{twin}"' in page.html
    # Lena and Stan share the family's phone, which is the weakest reason.
    assert page.text.index("Wren Léna") < page.text.index("Stan Crake")


def test_nobody_here_twice_is_said(visit: Visit, database: Database, people: Cast) -> None:
    with database.writing() as session:
        session.get_one(StudentRow, people.stranger).sought = "stan crake\n1\n1\n"
    assert "No two records look like one person." in visit("desk").get("/students/duplicates").text


def test_the_pairs_are_one_query_however_many(
    visit: Visit, app: Flask, database: Database, twin: int
) -> None:
    desk = visit("desk")
    school = app.extensions["yardmark_database"]
    with counted(school) as few:
        desk.get("/students/duplicates")
    add_students(database, 300)
    with counted(school) as many:
        page = desk.get("/students/duplicates")
    assert len(few) == len(many)
    assert "of which these are the first 50" in page.text


def test_the_other_record_is_found_by_likeness_or_by_letters(
    visit: Visit, people: Cast, twin: int
) -> None:
    desk, path = visit("desk"), f"/students/{people.learner}/twice"
    page = desk.get(path)
    assert "Compare with Wren Léna They have the same name." in page.text
    page = desk.get(f"{path}?q=07700")
    assert f'href="/students/{people.learner}/merge/{twin}"' in page.html
    assert "Nobody else here has “wren lena x”" in desk.get(f"{path}?q=wren lena x").text
    desk.get("/students/999/twice", status=404)


def test_two_records_become_one(visit: Visit, database: Database, people: Cast, twin: int) -> None:
    book(database, add_session(database, people), twin, None)
    desk, path = visit("desk"), f"/students/{people.learner}/merge/{twin}"
    page = desk.get(path)
    for words in ("Moves over: 1 booking.", "1 booking", "by lena@example.org", "no account"):
        assert words in page.text
    page = desk.submit(page, {"phone": "other"})
    assert page.heading == "Lena Wren"
    for words in ("The two records are one now.", "07700 900123", "Tall.", "Fri 27 Nov 2026"):
        assert words in page.text
    history = desk.get(f"/students/{people.learner}/history").text
    assert "Took another record of the same person in: 1 booking" in history
    assert "Became part of another record of the same person" in history


def test_made_one_twice_is_made_one_once(visit: Visit, people: Cast, twin: int) -> None:
    desk = visit("desk")
    page = desk.get(f"/students/{people.learner}/merge/{twin}")
    assert desk.submit(page).path == desk.submit(page).path


def test_what_must_be_done_first_is_said_and_there_is_no_button(
    visit: Visit, database: Database, people: Cast, twin: int
) -> None:
    book(database, add_session(database, people), twin, None)
    elsewhere = {"yard_id": people.small_yard, "instructor_id": people.other_instructor}
    at_once = add_session(database, people, places=3, **elsewhere)
    book(database, at_once, people.learner, None)
    path = f"/students/{people.learner}/merge/{twin}"
    page = visit("desk").get(path)
    assert "Cancel one of the two first." in page.text
    assert "Make them one record" not in page.text
    page = visit("desk").get(f"/students/{people.learner}/merge/{people.stranger}")
    assert "an owner closes the other under Accounts" in page.text


def test_a_record_changed_meanwhile_is_looked_at_again(
    visit: Visit, database: Database, people: Cast, twin: int
) -> None:
    desk = visit("desk")
    page = desk.get(f"/students/{people.learner}/merge/{twin}")
    desk.send(f"/students/{twin}/edit", {"notes": "Very tall."})
    answer = desk.submit(page, {"notes": "kept"}, status=422)
    assert "Someone changed this since you opened it." in answer.text
    with database.reading() as session:
        assert reads.student(session, twin).facts.notes == "Very tall."


@pytest.mark.parametrize(("field", "sent"), [("phone", "both"), ("phone", "x"), ("phone", None)])
def test_a_choice_that_is_none_is_refused(
    visit: Visit, people: Cast, twin: int, field: str, sent: str | None
) -> None:
    desk = visit("desk")
    page = desk.get(f"/students/{people.learner}/merge/{twin}")
    answer = desk.submit(page, {field: sent, "version": "x"}, status=422)
    assert "Choose one from the list." in answer.text or "Someone changed" in answer.text


def test_who_is_not_there_cannot_be_made_one(visit: Visit, people: Cast, twin: int) -> None:
    desk = visit("desk")
    for one, other in ((twin, twin), (twin, 999), (999, twin)):
        desk.get(f"/students/{one}/merge/{other}", status=404)
    visit("instructor").get(f"/students/{people.learner}/merge/{twin}", status=403)
    visit("instructor").get("/students/duplicates", status=403)


def test_every_address_of_the_merged_record_leads_staff_to_the_kept_one(
    visit: Visit, app: Flask, database: Database, people: Cast, twin: int
) -> None:
    desk = visit("desk")
    desk.send(f"/students/{people.learner}/merge/{twin}")
    with database.reading() as session:
        assert session.scalars(select(StudentRow.merged_into_id)).all().count(people.learner) == 1
    for path in _pages_of_a_student(app, {"student_id": twin, "other_id": people.stranger}, people):
        answer = desk.client.get(path)
        assert answer.status_code == 302, path
        assert answer.headers["Location"] == path.replace(
            f"/students/{twin}", f"/students/{people.learner}"
        ).replace(f"/book/{twin}", f"/book/{people.learner}")
    desk.post(f"/students/{twin}/invite", {}, status=400)


def _pages_of_a_student(app: Flask, ids: Records, people: Cast) -> list[str]:
    """The addresses with a student in them that the desk can open."""
    values = ids | {"session_id": people.session, "variant_id": 1}
    with app.test_request_context():
        return [
            app.url_for(rule.endpoint, _external=False, **_needed(rule, values))
            for rule in app.url_map.iter_rules()
            if "student_id" in rule.arguments
            and "GET" in (rule.methods or ())
            and any(role == "desk" for role in ACCESS.get(rule.endpoint, {}))
        ]


def _needed(rule: Any, values: Records) -> Records:
    return {name: values[name] for name in rule.arguments}
