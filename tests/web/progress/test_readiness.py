"""Readiness: with figures for the school, in plain words for the student."""

from __future__ import annotations

import re
from collections.abc import Callable

from app.store.database import Database
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.riding import a_ride, past_session, record, ride_often

Visit = Callable[..., Visitor]


def section(page: Page) -> str:
    """The text of the section about readiness."""
    found = [s for s in page.tree.iter("section") if s.get("aria-labelledby") == "ready"]
    return " ".join(" ".join(found[0].itertext()).split())


def test_the_school_sees_the_range_the_costs_and_the_picture(
    visit: Visit, database: Database, people: Cast
) -> None:
    ride_often(database, people, sessions=3, rides=4)
    page = visit("instructor").get(f"/students/{people.learner}/progress")
    text = section(page)
    assert re.search(r"Passing today: \d+ in 100; between \d+ and \d+ ?, not yet checked", text)
    for words in (
        "the instructor decides, and the test is the examiner’s",
        "Not yet ridden: 5 manoeuvres of the test.",
        "What costs most",
        "Chance in 100",
        "Mon 23 Nov 2026",
    ):
        assert words in text
    assert page.html.count("<circle") == 3
    assert "style=" not in page.html


def test_one_session_is_no_movement(
    visit: Visit, database: Database, people: Cast, slalom: int
) -> None:
    record(database, people, a_ride(people, slalom, past_session(database, people, 2), days=2))
    page = visit("desk").get(f"/students/{people.learner}/progress")
    assert "Passing today:" in section(page)
    assert "<polyline" not in page.html


def test_the_student_is_told_in_plain_words(visit: Visit, database: Database, people: Cast) -> None:
    ride_often(database, people, sessions=3, rides=4)
    text = section(visit("learner").get("/mine"))
    assert "There are still 5 manoeuvres of the test to try first." in text
    assert "in 100" not in text
    assert "Passing" not in text
