"""Planning anew without an instructor, a yard or a bike, on the desk's screen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import time

import pytest
from sqlalchemy import func, select

from app.rules.diary.values import BookingState
from app.store.database import Database
from app.store.diary.tables import BookingRow, CourseRow, SessionRow, WaitingRow
from app.store.people.tables import DayOffRow
from app.store.yards.tables import BikeRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.diary import add_session, book, booking

Visit = Callable[[str | None], Visitor]


def _links(page: Page, words: str) -> list[str]:
    links = [a for a in page.tree.iter("a") if words in "".join(a.itertext())]
    return [link.get("href") or "" for link in links]


def _count(database: Database, row: type[BookingRow | WaitingRow | CourseRow]) -> int:
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(row)) or 0


def test_a_whole_morning_is_planned_anew(visit: Visit, database: Database, people: Cast) -> None:
    training = add_session(database, people)
    made = book(database, training, people.learner, people.bike)
    desk = visit("desk")
    ask = desk.get("/affected")
    assert "Ines Heron" in ask.text
    page = desk.get(
        f"/affected?without=instructor-{people.instructor}&first=2026-11-27&last=2026-11-27"
    )
    assert "1 session is affected, with 1 rider." in page.text
    assert "Ivor Plover takes it" in page.text
    assert "Write these days down as days off" in page.text
    done = desk.submit(page, action="/affected?")
    assert "1 session goes on otherwise." in done.text
    with database.reading() as session:
        assert session.get_one(SessionRow, training).instructor_id == people.other_instructor
    assert booking(database, made).state is BookingState.BOOKED
    nothing = desk.get(f"/affected?without=instructor-{people.instructor}&first=2026-11-27")
    assert "Nothing is affected." in nothing.text


def test_the_days_off_are_written_down_with_the_plan_unless_unticked(
    visit: Visit, database: Database, people: Cast
) -> None:
    add_session(database, people)
    desk = visit("desk")
    path = f"/affected?without=instructor-{people.instructor}&first=2026-11-27&last=2026-11-27"
    desk.submit(desk.get(path), {"off": None}, action="/affected?")
    with database.reading() as session:
        assert session.scalars(select(DayOffRow.instructor_id)).all() == []
    training = add_session(database, people, starts=time(13), ends=time(15))
    desk.submit(desk.get(path), action="/affected?")
    with database.reading() as session:
        assert session.scalars(select(DayOffRow.instructor_id)).all() == [people.instructor]
        assert session.get_one(SessionRow, training).instructor_id == people.other_instructor
    assert "Write it down too" not in desk.get(path).text


def test_a_broken_bike_is_taken_off_the_road_with_the_plan(
    visit: Visit, database: Database, people: Cast
) -> None:
    made = book(database, add_session(database, people), people.learner, people.bike)
    desk = visit("desk")
    path = f"/affected?without=bike-{people.bike}&first=2026-11-27&last=2026-11-27"
    desk.submit(desk.get(path), {"reason": "Clutch cable"}, action="/affected?")
    assert booking(database, made).bike_id == people.other_bike
    with database.reading() as session:
        assert session.get_one(BikeRow, people.bike).off_road_reason == "Clutch cable"


def test_what_changed_since_a_plan_was_opened_stops_it(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    made = book(database, training, people.learner, people.bike)
    desk = visit("desk")
    path = f"/affected?without=bike-{people.bike}&first=2026-11-27&last=2026-11-27"
    page = desk.get(path)
    with database.writing() as session:
        session.get_one(BookingRow, made).version = 7
    answer = desk.submit(page, action="/affected?", status=422)
    assert "Someone changed this since you opened it" in answer.text
    assert booking(database, made).bike_id == people.bike


@pytest.mark.parametrize("without", ["", "x-1", "bike-", "bike-999", "bike-x", f"yard-{10**20}"])
def test_what_is_not_there_cannot_be_missing(visit: Visit, without: str) -> None:
    visit("desk").get(f"/affected?without={without}", status=404)


def test_a_plan_that_no_longer_holds_does_nothing(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    made = book(database, training, people.learner, people.bike)
    desk = visit("desk")
    path = f"/affected?without=instructor-{people.instructor}&first=2026-11-27&last=2026-11-27"
    page = desk.get(path)
    add_session(
        database, people, instructor_id=people.other_instructor, yard_id=people.small_yard, places=2
    )
    answer = desk.submit(page, action="/affected?", status=422)
    assert "Ivor Plover already has a session" in answer.text
    assert booking(database, made).session_id == training


def test_nobody_is_cancelled_who_was_not_on_the_page(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    seen = book(database, training, people.learner, people.bike)
    desk = visit("desk")
    path = f"/affected?without=instructor-{people.instructor}&first=2026-11-27&last=2026-11-27"
    page = desk.get(path)
    since = book(database, training, people.stranger, None)
    answer = desk.submit(page, {f"session-{training}": "riders"}, action="/affected?", status=422)
    assert "has come in since you opened this" in answer.text
    for each in (seen, since):
        assert booking(database, each).state is BookingState.BOOKED


@pytest.mark.parametrize("choice", ["1", "x:y", f"{10**20}:1"])
def test_a_choice_that_no_page_sends_is_refused(
    visit: Visit, database: Database, people: Cast, choice: str
) -> None:
    training = add_session(database, people)
    path = f"/affected?without=instructor-{people.instructor}&first=2026-11-27&last=2026-11-27"
    values = {f"session-{training}": choice}
    answer = visit("desk").send(path, values, action="/affected?", status=422)
    assert "Choose from the lists." in answer.text
