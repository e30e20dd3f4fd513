"""The desk's home: find someone, today, this week, and what needs a look."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time

import pytest

from app.rules.diary.values import BookingState
from app.store.database import Database
from app.store.diary import booking_writes
from app.store.yards import writes as yards
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import START, Clock
from tests.support.diary import DESK, add_session, fill
from tests.support.queries import counted

Visit = Callable[[str | None], Visitor]


def test_today_is_shown_with_riders_bikes_and_free_places(visit: Visit) -> None:
    page = visit("desk").get("/desk")
    assert page.heading == "Thu 26 Nov 2026"
    for words in ("Ines Heron", "Lena Wren Bike 1", "08:00 to 11:00 Long yard", "3 of 4 free"):
        assert words in page.text


def test_the_search_has_the_keyboard_at_once_and_needs_no_script(visit: Visit) -> None:
    page = visit("desk").get("/desk")
    (field,) = [node for node in page.tree.iter("input") if node.get("name") == "q"]
    assert field.get("autofocus") is not None
    assert page.form("/students").get("method") == "get"


def test_an_empty_day_says_so(visit: Visit, clock: Clock) -> None:
    desk = visit("desk")
    clock.forward(days=1)
    assert "Today Other days No sessions Make a session" in desk.get("/desk").text


def test_what_needs_a_look_is_shown_and_goes_away(
    visit: Visit, database: Database, people: Cast, clock: Clock
) -> None:
    desk = visit("desk")
    assert "Needs a look" not in desk.get("/desk").text
    yards.take_off_road(database, DESK, people.bike, 1, "Flat tyre", START)
    assert "Bike 1 is off the road. Give them another bike." in desk.get("/desk").text
    clock.forward(hours=3)
    assert desk.get("/desk").text.count("Mark whether they were here.") == 2
    for booking in (people.booking, people.other_booking):
        booking_writes.mark(database, DESK, booking, 1, BookingState.ATTENDED, clock())
    assert "Needs a look" not in desk.get("/desk").text


def test_the_week_and_other_weeks(visit: Visit, database: Database, people: Cast) -> None:
    add_session(database, people, day=date(2026, 12, 3), starts=time(14, 30), ends=time(16))
    desk = visit("desk")
    assert "14:30" not in desk.get("/sessions").text
    page = desk.get("/sessions?on=2026-12-06")
    assert page.heading == "Week of Mon 30 Nov 2026"
    assert "14:30 to 16:00" in page.text
    assert "14:30 to 16:00 Long yard" in desk.get("/sessions/day?on=2026-12-03").text
    assert "Fri 4 Dec 2026 No sessions" in desk.get("/sessions/day?on=2026-12-04").text


@pytest.mark.parametrize("on", ["2026-02-30", "soon", "9999-12-31", "0001-01-01", "%00"])
@pytest.mark.parametrize("path", ["/sessions", "/sessions/day"])
def test_a_day_that_is_not_in_the_diary_shows_today_and_says_so(
    visit: Visit, path: str, on: str
) -> None:
    assert "There is no such day in the diary" in visit("desk").get(f"{path}?on={on}").text


@pytest.mark.parametrize(
    "path", ["/desk", "/sessions", "/sessions/day", "/students", "/bikes", "/yards", "/instructors"]
)
def test_a_full_school_asks_no_more_of_the_database(
    visit: Visit, database: Database, people: Cast, path: str, app: object
) -> None:
    served: Database = app.extensions["yardmark_database"]  # type: ignore[attr-defined]
    desk = visit("desk")
    with counted(served) as few:
        desk.get(path)
    fill(database, people)
    with counted(served) as many:
        desk.get(path)
    # Six of the diary's are the school's calendar: hours, closures, who works when.
    assert len(few) == len(many) <= (22 if path == "/desk" else 14)


@pytest.mark.parametrize("who", ["instructor", "learner"])
@pytest.mark.parametrize(
    "path", ["/desk", "/students", "/sessions", "/bikes", "/yards", "/instructors"]
)
def test_the_desk_is_for_the_desk_and_the_owner(visit: Visit, who: str, path: str) -> None:
    visit(who).get(path, status=403)
    visit("owner").get(path)
