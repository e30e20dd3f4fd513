"""Sessions at the desk: made, changed, cancelled."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.store.database import Database
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import Clock
from tests.support.diary import add_session, book, sessions_kept

Visit = Callable[[str | None], Visitor]
NEW = "/sessions/new"
GOOD = {"day": "2026-11-27", "starts": "09:00", "ends": "11:00", "places": "3"}


def test_a_session_is_made_and_opened(visit: Visit, database: Database, people: Cast) -> None:
    page = visit("desk").send(NEW, GOOD | {"remarks": "Bring the short cones."})
    assert page.heading == "Fri 27 Nov 2026, 09:00"
    assert "Module 1 training with Ines Heron in Long yard" in page.text
    assert "3 of 3 free" in page.text
    assert "Bring the short cones." in page.text
    assert sessions_kept(database)[-1].places == 3


def test_the_day_comes_along_from_where_the_desk_was(visit: Visit) -> None:
    page = visit("desk").get(f"{NEW}?on=2026-12-03")
    assert 'value="2026-12-03"' in page.html


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("day", "", "Write a day."),
        ("day", "2026-02-30", "Write a day that exists"),
        ("day", "9999-12-31", "more than two years ahead"),
        ("day", "2026-11-25", "This day is over."),
        ("starts", "", "Write a time of day"),
        ("starts", "noon", "Write a time of day"),
        ("starts", "25:00", "Write a time of day"),
        ("ends", "08:00", "has to end after it starts"),
        ("ends", "09:05", "at least 15 minutes"),
        ("ends", "20:00", "at most 10 hours"),
        ("places", "", "Write how many places."),
        ("places", "many", "Write a whole number."),
        ("places", "0", "at least one place"),
        ("places", "9" * 40, "at most 4 places"),
        ("yard_id", "99", "Choose one from the list."),
        ("yard_id", "9" * 40, "Choose one from the list."),
        ("instructor_id", "x", "Choose one from the list."),
        ("kind", "party", "Choose one from the list."),
        ("remarks", "x" * 201, "Use at most 200 characters."),
        ("remarks", "\x00", "unprintable"),
    ],
)
def test_a_bad_value_is_refused_at_its_field_and_the_rest_is_kept(
    visit: Visit, database: Database, field: str, typed: str, sentence: str
) -> None:
    kept = {"remarks": "Keep this."} if field != "remarks" else {}
    page = visit("desk").send(NEW, GOOD | kept | {field: typed}, status=422)
    assert sentence in page.error_beside(field)
    assert all(words in page.html for words in kept.values())
    assert len(sessions_kept(database)) == 2


def test_the_hour_that_the_clock_skips_is_refused(visit: Visit, database: Database) -> None:
    skipped = GOOD | {"day": "2027-03-28", "starts": "01:30", "ends": "04:00"}
    page = visit("desk").send(NEW, skipped, status=422)
    assert "The clock goes forward on Sun 28 Mar 2027" in page.error_beside("starts")


def test_an_instructor_is_not_given_two_sessions_at_once(
    visit: Visit, database: Database, people: Cast
) -> None:
    add_session(database, people)
    page = visit("desk").send(NEW, GOOD, status=422)
    assert "Ines Heron already has a session in Long yard" in page.error_beside("instructor_id")


def test_a_form_sent_twice_makes_one_session(visit: Visit, database: Database) -> None:
    desk = visit("desk")
    page = desk.get(NEW)
    paths = {desk.submit(page, GOOD).path for _ in range(2)}
    assert len(paths) == 1
    assert len(sessions_kept(database)) == 3


def test_a_school_without_a_yard_is_told_what_to_do_first(visit: Visit, database: Database) -> None:
    with database.writing() as session:
        session.connection().exec_driver_sql("UPDATE yards SET open = 0")
    assert "A session needs a yard that is open." in visit("desk").get(NEW).text


def test_a_session_is_changed_and_its_riders_come_along(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    book(database, training, people.learner, people.bike)
    page = visit("desk").send(f"/sessions/{training}/edit", {"starts": "10:00", "ends": "12:00"})
    assert page.heading == "Fri 27 Nov 2026, 10:00"
    assert "Lena Wren" in page.text


def test_two_who_change_one_session_do_not_overwrite_each_other(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}/edit")
    desk.submit(page, {"places": "3"})
    answer = desk.submit(page, {"places": "2", "remarks": "Mine."}, status=422)
    assert "Someone changed this since you opened it." in answer.text
    assert 'value="Mine."' in answer.html
    assert sessions_kept(database)[-1].places == 3


@pytest.mark.parametrize("version", ["", "x", "9" * 40, None])
def test_a_form_without_a_version_counts_as_stale(
    visit: Visit, database: Database, people: Cast, version: str | None
) -> None:
    path = f"/sessions/{add_session(database, people)}/edit"
    answer = visit("desk").send(path, {"places": "2", "version": version}, status=422)
    assert "Someone changed this" in answer.text


def test_cancelling_names_those_to_be_told_first(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    book(database, training, people.learner, people.bike)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}/cancel")
    assert "Lena Wren, 01632 960001" in page.text
    answer = desk.submit(page)
    assert "1 student was booked: let them know." in answer.text
    assert "This session has been cancelled." in answer.text
    assert "Someone changed this" in desk.submit(page, status=409).text


def test_a_session_that_is_over_offers_no_changes(visit: Visit, people: Cast, clock: Clock) -> None:
    desk = visit("desk")
    clock.forward(days=1)
    page = desk.get(f"/sessions/{people.session}")
    assert "Change the session" not in page.text
    assert "Book a student" not in page.text
    answer = desk.send(f"/sessions/{people.session}/edit", status=422)
    assert "This session is over. It stays in the diary as it was." in answer.text


@pytest.mark.parametrize("rest", ["", "/edit", "/cancel"])
def test_a_session_that_is_not_there_is_not_found(visit: Visit, rest: str) -> None:
    desk = visit("desk")
    for number in ("999", str(10**20)):
        desk.get(f"/sessions/{number}{rest}", status=404)
