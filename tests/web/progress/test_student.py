"""An instructor's view of a student: it works, then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask

from app.store.database import Database
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.queries import counted
from tests.support.riding import CONE, a_ride, record, ride_often

Visit = Callable[..., Visitor]


@pytest.mark.parametrize("who", ["instructor", "other_instructor", "desk", "owner"])
def test_the_school_sees_every_manoeuvre_with_its_reason(
    visit: Visit, database: Database, people: Cast, slalom: int, who: str
) -> None:
    record(database, people, a_ride(people, slalom, people.session, faults=(CONE,)))
    page = visit(who).get(f"/students/{people.learner}/progress")
    assert page.heading == "Lena Wren"
    for words in (
        "Category A. 1 ride in 1 session; 0 of 9 manoeuvres steady.",
        "Ridden once, not clean; cone touched once, to the left;",
        "Hazard avoidance to the right",
        "Thu 26 Nov 2026, 08:00, Long yard, Ines Heron, Bike 1",
        "Long yard, Ines Heron; 1 ride, 0 clean",
        "Riding can hurt.",
    ):
        assert words in page.text
    assert f'href="/students/{people.learner}/progress/{slalom}"' in page.html


def test_a_student_who_never_rode_is_shown_as_such(visit: Visit, people: Cast) -> None:
    text = visit("instructor").get(f"/students/{people.stranger}/progress").text
    assert "No rides have been recorded yet." in text
    assert "Not ridden yet." in text


def test_the_history_has_pages(visit: Visit, database: Database, people: Cast) -> None:
    ride_often(database, people, sessions=6, rides=1)
    visitor = visit("instructor")
    path = f"/students/{people.learner}/progress"
    first, second = visitor.get(path), visitor.get(f"{path}?page=2")
    assert "Page 1 of 2" in first.text
    assert "Fri 20 Nov 2026, 08:00" not in first.text
    assert "Fri 20 Nov 2026, 08:00" in second.text


def test_a_student_may_not_look_at_a_student(visit: Visit, people: Cast) -> None:
    for student in (people.learner, people.stranger):
        visit("learner").get(f"/students/{student}/progress", status=403)


def test_a_student_who_is_not_there_is_not_found(visit: Visit) -> None:
    visit("instructor").get("/students/999/progress", status=404)
    visit("instructor").get("/students/99999999999999999999/progress", status=404)


def test_its_queries_do_not_grow_with_the_rides(
    visit: Visit, app: Flask, database: Database, people: Cast
) -> None:
    visitor = visit("instructor")
    numbers = []
    for _ in range(2):
        with counted(app.extensions["yardmark_database"]) as seen:
            visitor.get(f"/students/{people.learner}/progress")
        numbers.append(len(seen))
        ride_often(database, people, sessions=6, rides=10)
    assert numbers[0] == numbers[1] <= 38
