"""The student's own page: it works, then each refusal."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from flask import Flask
from sqlalchemy import update

from app.store.database import Database
from app.store.people.tables import StudentRow
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.queries import counted
from tests.support.riding import CONE, a_ride, record, ride_often

Visit = Callable[..., Visitor]


def test_a_student_sees_what_to_practise_and_why(
    visit: Visit, database: Database, people: Cast, slalom: int
) -> None:
    record(database, people, a_ride(people, slalom, people.session, faults=(CONE,)))
    page = visit("learner").get("/mine")
    assert page.heading == "Hello, Lena"
    for words in (
        "Thu 26 Nov 2026, 08:00",
        "Long yard, with Ines Heron, on Bike 1",
        "One ride so far; cone touched once, to the left; one clean ride is the next step",
        "Clean looks like:",
        "Try:",
        "Take care:",
        "Thu 26 Nov 2026, fallen: cone touched on the left, serious",
        "1 ride in 1 session so far",
        "Riding can hurt.",
    ):
        assert words in page.text
    assert f'href="/mine/rides/{slalom}"' in page.html


def test_before_the_first_ride_it_says_where_the_course_begins(visit: Visit) -> None:
    text = visit("stranger").get("/mine").text
    assert "Your first rides will show here." in text
    assert "Park in the bay" in text
    assert text.count("not yet ridden") == 3 + 10


def test_without_a_booking_it_says_how_to_get_one(
    visit: Visit, clock: Callable[[], object], people: Cast
) -> None:
    visitor = visit("learner")
    clock.forward(days=2)  # type: ignore[attr-defined]
    assert "No session is booked yet." in visitor.get("/mine").text


def test_a_student_reads_no_percentage(visit: Visit, database: Database, people: Cast) -> None:
    ride_often(database, people, sessions=3, rides=5)
    assert not re.search(r"\d ?%", visit("learner").get("/mine").text)


def test_an_account_without_a_record_is_told_to_ask(visit: Visit, database: Database) -> None:
    visitor = visit("learner")
    with database.writing() as session:
        session.execute(update(StudentRow).values(account_id=None))
    page = visitor.get("/mine")
    assert page.heading == "Hello, Lena"
    assert "Ask the front desk" in page.text


@pytest.mark.parametrize("who", ["desk", "instructor", "owner"])
def test_who_is_no_student_has_no_such_page(visit: Visit, who: str) -> None:
    visit(who).get("/mine", status=403)


def test_a_passer_by_is_asked_to_sign_in(visit: Visit) -> None:
    assert visit().get("/mine").heading.startswith("Sign in")


def test_its_queries_do_not_grow_with_the_rides(
    visit: Visit, app: Flask, database: Database, people: Cast
) -> None:
    visitor = visit("learner")
    numbers = []
    for _ in range(2):
        with counted(app.extensions["yardmark_database"]) as seen:
            visitor.get("/mine")
        numbers.append(len(seen))
        ride_often(database, people, sessions=4, rides=10)
    assert numbers[0] == numbers[1] <= 26
