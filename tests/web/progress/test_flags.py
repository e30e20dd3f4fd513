"""The list of all flags: it works, then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask

from app.store.database import Database
from tests.store.progress.test_flags import add_students
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.queries import counted
from tests.support.riding import STALL, a_ride, record, ride_often

Visit = Callable[..., Visitor]


@pytest.mark.parametrize("who", ["instructor", "desk", "owner"])
def test_staff_see_who_is_flagged_and_why(
    visit: Visit, database: Database, people: Cast, slalom: int, who: str
) -> None:
    record(database, people, a_ride(people, slalom, people.session, faults=(STALL,)))
    page = visit(who).get("/progress/flags")
    assert page.heading == "Flags"
    for words in (
        "2 students",
        "Lena Wren",
        "Thu 26 Nov 2026, 08:00, Ines Heron",
        "Slalom Thu 26 Nov 2026, leaning: stall, riding working on it Ridden once, not clean;",
        "the instructor decides",
    ):
        assert words in page.text
    assert f'href="/students/{people.learner}/progress/{slalom}"' in page.html


def test_the_boxes_narrow_the_list_and_keep_what_was_chosen(
    visit: Visit, database: Database, people: Cast, slalom: int
) -> None:
    record(database, people, a_ride(people, slalom, people.session, faults=(STALL,)))
    visitor = visit("instructor")
    page = visitor.get("/progress/flags?where=school&manoeuvre=slalom&standing=working")
    assert "1 student" in page.text
    assert '<option value="working" selected>' in page.html
    assert "Stan Crake" not in page.text
    session = visitor.get(f"/progress/flags?where={people.other_session}")
    assert "Lena Wren" not in session.text
    mine = visitor.get(f"/progress/flags?instructor={people.other_instructor}")
    assert "Lena Wren" not in mine.text


def test_a_list_of_nobody_says_so(visit: Visit) -> None:
    text = visit("instructor").get("/progress/flags?where=99").text
    assert "Nobody is flagged here." in text


def test_pages_keep_what_was_chosen(visit: Visit, database: Database, people: Cast) -> None:
    add_students(database, 60)
    visitor = visit("desk")
    first = visitor.get("/progress/flags?where=school&standing=not_ridden&_external=1")
    assert "Page 1 of 3" in first.text
    assert 'href="/progress/flags?page=2&amp;where=school&amp;standing=not_ridden"' in first.html
    assert "Page 2 of 3" in visitor.get("/progress/flags?where=school&page=2").text


@pytest.mark.parametrize(
    "asked", ["where=x", "standing=steady", f"instructor={'9' * 40}", f"where={'9' * 40}", "page=x"]
)
def test_what_is_asked_for_in_vain_narrows_nothing(visit: Visit, asked: str) -> None:
    assert "2 students" in visit("instructor").get(f"/progress/flags?{asked}").text


@pytest.mark.parametrize("who", ["learner", "stranger"])
def test_a_student_may_not_see_it(visit: Visit, who: str) -> None:
    visit(who).get("/progress/flags", status=403)


def test_a_passer_by_is_asked_to_sign_in(visit: Visit) -> None:
    assert visit().get("/progress/flags").heading.startswith("Sign in")


def test_its_queries_do_not_grow(
    visit: Visit, app: Flask, database: Database, people: Cast
) -> None:
    visitor = visit("instructor")
    numbers = []
    for _ in range(2):
        with counted(app.extensions["yardmark_database"]) as seen:
            visitor.get("/progress/flags?where=school&standing=not_ridden")
        numbers.append(len(seen))
        ride_often(database, people, sessions=3, rides=4)
        add_students(database, 70)
    assert numbers[0] == numbers[1] <= 24
