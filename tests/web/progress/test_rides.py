"""A student's rides of one manoeuvre, for the school: it works, then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask

from app.store.database import Database
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.queries import counted
from tests.support.riding import CONE, a_ride, past_session, record, ride_often

Visit = Callable[..., Visitor]


@pytest.mark.parametrize("who", ["instructor", "desk", "owner"])
def test_the_school_sees_the_rides_behind_a_flag(
    visit: Visit, database: Database, people: Cast, slalom: int, who: str
) -> None:
    earlier = past_session(database, people, days=2)
    record(
        database,
        people,
        a_ride(people, slalom, earlier, days=2, faults=(CONE,)),
        a_ride(people, slalom, people.session, 4),
    )
    page = visit(who).get(f"/students/{people.learner}/progress/{slalom}")
    assert page.heading == "Slalom: Lena Wren"
    for words in (
        "1 of the last 2 clean; cone touched once, to the left;",
        "The chance that the next ride is clean is about",
        "2 rides of practice",
        " in 100",
        "Tue 24 Nov 2026, 08:00 Long yard, damp, windy; Bike 1; recorded by Ines Heron",
        "09:00 Cone touched on the left, serious",
        "09:04 Clean",
    ):
        assert words in page.text
    assert f'href="/students/{people.learner}/progress"' in page.html


def test_a_manoeuvre_that_was_not_ridden_says_so(visit: Visit, people: Cast, slalom: int) -> None:
    text = visit("instructor").get(f"/students/{people.learner}/progress/{slalom}").text
    assert "No ride of this one has been recorded yet." in text
    assert "Why we think so" not in text


def test_a_student_may_not_look_at_a_student(visit: Visit, people: Cast, slalom: int) -> None:
    for student in (people.learner, people.stranger):
        visit("learner").get(f"/students/{student}/progress/{slalom}", status=403)


def test_who_and_what_is_not_there_is_not_found(visit: Visit, people: Cast, slalom: int) -> None:
    visitor = visit("instructor")
    visitor.get(f"/students/999/progress/{slalom}", status=404)
    visitor.get(f"/students/{people.learner}/progress/999", status=404)


def test_its_queries_do_not_grow_with_the_rides(
    visit: Visit, app: Flask, database: Database, people: Cast, slalom: int
) -> None:
    visitor = visit("instructor")
    numbers = []
    for _ in range(2):
        with counted(app.extensions["yardmark_database"]) as seen:
            visitor.get(f"/students/{people.learner}/progress/{slalom}")
        numbers.append(len(seen))
        ride_often(database, people, sessions=4, rides=10)
    assert numbers[0] == numbers[1] <= 22
