"""A student's own rides of one manoeuvre: it works, then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask
from sqlalchemy import update

from app.store.database import Database
from app.store.people.tables import StudentRow
from app.store.progress.writes import strike_out
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.riding import CONE, a_ride, ines, record, ride_often, timed, variant

Visit = Callable[..., Visitor]


def test_every_ride_is_told_with_its_faults(
    visit: Visit, database: Database, people: Cast, slalom: int
) -> None:
    bad = a_ride(people, slalom, people.session, 3, faults=(CONE,))
    gone = a_ride(people, slalom, people.session, 7)
    record(database, people, bad, gone)
    strike_out(database, ines(people), gone.attempt_id, "The wrong rider", START)
    page = visit("learner").get(f"/mine/rides/{slalom}")
    assert page.heading == "Slalom"
    for words in (
        "2 rides, the newest first.",
        "09:03 Cone touched on the left, serious",
        "Struck out by Ines Heron: The wrong rider",
        "Long yard; Bike 1; recorded by Ines Heron",
        "What helps",
        "A common mistake:",
        "Caution",
    ):
        assert words in page.text
    assert page.text.index("09:07") < page.text.index("09:03")


def test_a_speed_is_said_in_both_units(visit: Visit, database: Database, people: Cast) -> None:
    stop = variant(database, "emergency_stop")
    record(database, people, a_ride(people, stop, people.session, **timed(51.0)))
    assert "51 km/h (32 mph)" in visit("learner").get(f"/mine/rides/{stop}").text


def test_a_manoeuvre_that_was_not_ridden_says_so(visit: Visit, slalom: int) -> None:
    text = visit("learner").get(f"/mine/rides/{slalom}").text
    assert "You have not ridden this one yet." in text
    assert "No ride of this one has been recorded yet." in text


def test_the_chance_is_opened_without_a_figure(
    visit: Visit, database: Database, people: Cast, slalom: int
) -> None:
    record(database, people, *(a_ride(people, slalom, people.session, n) for n in range(3)))
    page = visit("learner").get(f"/mine/rides/{slalom}")
    found = [s for s in page.tree.iter("section") if s.get("aria-labelledby") == "why"]
    text = " ".join(found[0].itertext())
    assert "You have ridden it clean before, and so you can again." in text
    assert not any(letter.isdigit() for letter in text)


def test_another_students_rides_are_not_there(
    visit: Visit, database: Database, people: Cast, slalom: int
) -> None:
    record(database, people, a_ride(people, slalom, people.session, faults=(CONE,)))
    assert "Cone touched" not in visit("stranger").get(f"/mine/rides/{slalom}").text


def test_pages_of_fifty_lead_to_each_other(
    visit: Visit, database: Database, people: Cast, slalom: int
) -> None:
    record(database, people, *(a_ride(people, slalom, people.session, n) for n in range(51)))
    visitor = visit("learner")
    first = visitor.get(f"/mine/rides/{slalom}")
    assert "Page 1 of 2" in first.text
    assert f'href="/mine/rides/{slalom}?page=2"' in first.html
    assert "Page 2 of 2" in visitor.get(f"/mine/rides/{slalom}?page=2").text


@pytest.mark.parametrize(
    ("asked", "got"), [("0", 1), ("-3", 1), ("99", 2), ("x", 1), ("9" * 40, 2), ("", 1)]
)
def test_a_page_that_there_is_not_is_the_nearest(
    visit: Visit, database: Database, people: Cast, slalom: int, asked: str, got: int
) -> None:
    record(database, people, *(a_ride(people, slalom, people.session, n) for n in range(51)))
    text = visit("learner").get(f"/mine/rides/{slalom}?page={asked}").text
    assert f"Page {got} of 2" in text


def test_an_unknown_manoeuvre_is_not_found(visit: Visit) -> None:
    visit("learner").get("/mine/rides/999", status=404)
    visit("learner").get("/mine/rides/slalom", status=404)


def test_an_account_without_a_record_finds_nothing(
    visit: Visit, database: Database, slalom: int
) -> None:
    visitor = visit("learner")
    with database.writing() as session:
        session.execute(update(StudentRow).values(account_id=None))
    visitor.get(f"/mine/rides/{slalom}", status=404)


@pytest.mark.parametrize("who", ["desk", "instructor", "owner"])
def test_who_is_no_student_has_no_such_page(visit: Visit, slalom: int, who: str) -> None:
    visit(who).get(f"/mine/rides/{slalom}", status=403)


def test_its_queries_do_not_grow_with_the_rides(
    visit: Visit, app: Flask, database: Database, people: Cast, slalom: int
) -> None:
    visitor = visit("learner")
    numbers = []
    for _ in range(2):
        with counted(app.extensions["yardmark_database"]) as seen:
            visitor.get(f"/mine/rides/{slalom}")
        numbers.append(len(seen))
        ride_often(database, people, sessions=4, rides=10)
    assert numbers[0] == numbers[1] <= 22
