"""Who is ready for a test, and how it works: the pages, then each refusal."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from flask import Flask

from app.rules.accounts.roles import system
from app.store.database import Database
from app.store.progress.school_figures import find_figures, keep_figures
from tests.store.progress.test_ready import coming_session
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import START
from tests.support.crowd import crowd
from tests.support.queries import counted
from tests.support.riding import ride_often

Visit = Callable[..., Visitor]
STAFF = pytest.mark.parametrize("who", ["desk", "owner", "instructor"])
PAGES = pytest.mark.parametrize("path", ["/progress/ready", "/progress/how"])


@STAFF
def test_the_school_sees_who_is_ready_with_the_range(
    visit: Visit, database: Database, people: Cast, who: str
) -> None:
    ride_often(database, people, sessions=3, rides=4)
    free = coming_session(database, people, 2, 3)
    page = visit(who).get("/progress/ready")
    assert re.search(r"Lena Wren \d+ in 100; between \d+ and \d+ 5 manoeuvres not yet", page.text)
    assert "Sat 28 Nov 2026, 09:00" in page.text
    assert "Long yard, Ines Heron, 3 places free" in page.text
    assert (f'href="/sessions/{free}"' in page.html) is (who != "instructor")
    assert "the test is the examiner’s" in page.text


def test_a_school_where_nobody_rides_says_so(visit: Visit) -> None:
    text = visit("desk").get("/progress/ready").text
    assert "Nobody who has not passed yet rode in the last three months." in text
    assert "No session to come has a free place." in text


@STAFF
def test_how_it_works_gives_the_schools_own_numbers_and_the_cautions(
    visit: Visit, who: str
) -> None:
    text = visit(who).get("/progress/how").text
    for words in (
        "The last 3 rides were clean, over at least 2 sessions, the last no more than 21 days ago",
        "at least 80 in 100",
        "The instructor decides what is ridden",
        "A small number of rides means a wide range.",
        "The official test is the examiner’s.",
    ):
        assert words in text


@STAFF
def test_how_it_works_says_how_hard_each_manoeuvre_is_and_what_that_rests_on(
    visit: Visit, database: Database, people: Cast, who: str
) -> None:
    visitor = visit(who)
    assert "So far the guesses stand." in visitor.get("/progress/how").text
    crowd(database, people, students=12, rides=20)
    with database.reading() as session:
        finding = find_figures(session, START)
    keep_figures(database, system("test"), finding, START)
    text = visitor.get("/progress/how").text
    assert "Last kept: Thu 26 Nov 2026, 09:00." in text
    assert re.search(r"U-turn \d+ \d+ 31 60 rides of 12 students", text)
    assert re.search(r"Park in the bay \d+ \d+ \d+ the guess", text)


@PAGES
def test_a_student_may_not_see_it(visit: Visit, path: str) -> None:
    visit("learner").get(path, status=403)


@PAGES
def test_a_passer_by_is_asked_to_sign_in(visit: Visit, path: str) -> None:
    assert visit().get(path).heading.startswith("Sign in")


@pytest.mark.parametrize("page", ["0", "-1", "x", "99", "9" * 40])
def test_a_page_that_there_is_not_is_the_nearest(visit: Visit, people: Cast, page: str) -> None:
    visit("desk").get(f"/progress/ready?page={page}")


def test_its_queries_do_not_grow(
    visit: Visit, app: Flask, database: Database, people: Cast
) -> None:
    visitor = visit("desk")
    numbers = []
    for _ in range(2):
        ride_often(database, people, sessions=3, rides=4)
        with counted(app.extensions["yardmark_database"]) as seen:
            visitor.get("/progress/ready")
        numbers.append(len(seen))
    assert numbers[0] == numbers[1] <= 24
