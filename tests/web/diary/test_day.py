"""The diary by day and by week: of the school, and of one yard, instructor or bike."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta

import pytest

from app.rules.diary.values import BookingState, SessionKind
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.yards import writes as yards
from tests.support.busy import busy_days
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.clock import START
from tests.support.diary import DESK, TOMORROW, add_session, book
from tests.support.queries import counted

Visit = Callable[[str | None], Visitor]
DAY, WEEK = "/sessions/day", "/sessions"
VIEWS = ("instructors", "yards", "bikes", "instructor-1", "yard-1", "bike-1")


def _links(page: Page) -> dict[str, str]:
    """The links of a page by their words."""
    return {
        re.sub(r"\s+", " ", "".join(link.itertext())).strip(): link.get("href", "")
        for link in page.tree.iter("a")
    }


def test_the_day_says_who_is_taken_and_who_is_free(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people, starts=time(10, 20), ends=time(11, 45))
    book(database, training, people.learner, people.bike)
    page = visit("desk").get(f"{DAY}?on={TOMORROW}")
    assert page.heading == "Fri 27 Nov 2026"
    for words in (
        "1 session, 3 places free",
        "10:20 to 11:45 Long yard, Module 1 training",
        "3 of 4 free",
        "Lena Wren Bike 1",
        "free 09:00 to 10:20",
        "free 11:45 to 17:00",
    ):
        assert words in page.text


def test_the_grid_is_a_table_whose_headers_say_when_and_who(visit: Visit) -> None:
    page = visit("desk").get(DAY)
    (table,) = page.tree.iter("table")
    heads = [
        (head.get("scope"), "".join(head.itertext()).split("Plan")[0].strip())
        for head in table.iter("th")
    ]
    assert [words for scope, words in heads if scope == "col"] == [
        "Time",
        "Ines Heron",
        "Ivor Plover",
    ]
    assert [words for scope, words in heads if scope == "row"][:3] == ["08:00", "08:30", "09:00"]
    (seats,) = {
        node.get("aria-hidden") for node in table.iter("span") if node.get("class") == "seats"
    }
    assert seats == "true"


def test_a_free_time_leads_to_a_session_with_that_time_filled_in(
    visit: Visit, people: Cast
) -> None:
    desk = visit("desk")
    page = desk.get(DAY)
    form = desk.get(_links(page)["free 11:00 to 17:00"]).form("/sessions/new")
    shown = {node.get("name"): node.get("value") for node in form.iter("input")}
    assert (shown["day"], shown["starts"], shown["ends"]) == ("2026-11-26", "11:00", "")
    chosen = [o.text for o in form.iter("option") if o.get("selected") is not None]
    assert "Ivor Plover" in chosen or "Ines Heron" in chosen


@pytest.mark.parametrize(
    "query", ["at=soon", "at=25:00", "instructor=99", "yard=x", "until=", "instructor=%00&yard=-1"]
)
def test_nonsense_about_a_new_session_is_left_out(visit: Visit, query: str) -> None:
    assert visit("desk").get(f"/sessions/new?{query}").heading == "Make a session"


@pytest.mark.parametrize("of", VIEWS)
@pytest.mark.parametrize("path", [DAY, WEEK])
def test_each_view_shows_its_own_sessions(visit: Visit, path: str, of: str) -> None:
    page = visit("desk").get(f"{path}?of={of}")
    assert "08:00 to 11:00" in page.text
    assert ("Stan Crake" in page.text or path == WEEK) is (
        of in ("instructors", "yards", "bikes") or path == WEEK
    )
    chosen = [o.get("value") for o in page.tree.iter("option") if o.get("selected") is not None]
    assert chosen == [of]


@pytest.mark.parametrize("of", ["yard-99", "instructor-99", "bike-99", "students", "yard-0", "%00"])
@pytest.mark.parametrize("path", [DAY, WEEK])
def test_what_the_school_does_not_have_is_not_found(visit: Visit, path: str, of: str) -> None:
    visit("desk").get(f"{path}?of={of}", status=404)


def test_moving_about_keeps_what_is_shown(visit: Visit) -> None:
    links = _links(visit("desk").get(f"{DAY}?on=2026-12-03&of=yard-1"))
    assert links["Day before"] == "/sessions/day?on=2026-12-02&of=yard-1"
    assert links["Day after"] == "/sessions/day?on=2026-12-04&of=yard-1"
    assert links["Today"] == "/sessions/day?on=2026-11-26&of=yard-1"
    assert links["Tomorrow"] == "/sessions/day?on=2026-11-27&of=yard-1"
    assert links["Next week"] == "/sessions/day?on=2026-12-03&of=yard-1"
    assert links["This whole week"] == "/sessions?on=2026-12-03&of=yard-1"


def test_the_jump_is_a_form_that_works_by_itself(visit: Visit, people: Cast) -> None:
    desk = visit("desk")
    form = desk.get(DAY).form(DAY)
    assert form.get("method") == "get"
    names = {node.get("name") for node in form.iter() if node.tag in ("input", "select")}
    assert names == {"on", "of"}
    page = desk.get(f"{form.get('action')}?on=2026-12-03&of=bike-{people.bike}")
    assert page.heading == "Thu 3 Dec 2026, Bike 1"


def test_no_phone_number_and_no_address_lies_on_the_counter(visit: Visit) -> None:
    for path in (DAY, WEEK, f"{DAY}?of=bikes", f"{WEEK}?of=instructor-1"):
        page = visit("desk").get(path)
        main = next(page.tree.iter("main"))
        text = " ".join(main.itertext())
        assert "01632" not in text
        assert "@" not in text


def test_a_bike_off_the_road_says_so_where_it_is_shown(
    visit: Visit, database: Database, people: Cast
) -> None:
    yards.take_off_road(database, DESK, people.bike, 1, "Flat tyre", START)
    desk = visit("desk")
    for query in ("of=bikes", f"of=bike-{people.bike}"):
        assert "off the road: Flat tyre" in desk.get(f"{DAY}?{query}").text


def test_a_day_of_25_hours_shows_the_hour_that_comes_again(
    visit: Visit, database: Database, people: Cast
) -> None:
    begins = datetime(2026, 10, 24, 23, 30, tzinfo=UTC)
    with database.writing() as session:
        session.add(
            SessionRow(
                yard_id=people.yard,
                instructor_id=people.instructor,
                kind=SessionKind.CBT,
                starts_at=begins,
                ends_at=begins + timedelta(hours=2),
                places=2,
            )
        )
    page = visit("desk").get(f"{DAY}?on=2026-10-25")
    for words in ("25 hours", "00:30 to 01:30 again", "01:00 again", "it lasts 2 hours"):
        assert words in page.text


def test_a_place_that_is_held_says_until_when(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    hold = {"state": BookingState.HELD, "held_until": START + timedelta(hours=2)}
    with database.writing() as session:
        session.add(
            BookingRow(session_id=training, student_id=people.learner, booked_at=START, **hold)
        )
    page = visit("desk").get(f"{DAY}?on={TOMORROW}")
    assert "Lena Wren own bike held until 11:00" in page.text
    drawn = [node.get("class") for node in page.tree.iter("i")]
    assert drawn == ["is-held", "is-open", "is-open", "is-open"]


def test_sessions_at_once_in_one_yard_stand_side_by_side(
    visit: Visit, database: Database, people: Cast
) -> None:
    for who in (people.instructor, people.other_instructor):
        add_session(database, people, instructor_id=who, places=2)
    page = visit("desk").get(f"{DAY}?on={TOMORROW}&of=yard-{people.yard}")
    heads = [head.get("colspan") for head in page.tree.iter("th") if head.get("scope") == "col"]
    assert heads == [None, "2"]
    assert page.text.count("09:00 to 11:00") == 2


def test_a_day_that_can_still_be_changed_leads_to_planning_it_anew(
    visit: Visit, people: Cast
) -> None:
    desk = visit("desk")
    links = _links(desk.get(DAY))
    there = links["Plan this day anew without Ines Heron"]
    assert there == f"/affected?without=instructor-{people.instructor}&first=2026-11-26"
    assert "Plan without Ines Heron" in desk.get(there).text
    assert "Plan this day anew" not in desk.get(f"{DAY}?on=2026-11-25").text


@pytest.mark.parametrize("of", VIEWS)
@pytest.mark.parametrize("path", [DAY, WEEK])
def test_a_busy_week_asks_no_more_of_the_database(
    visit: Visit, database: Database, app: object, path: str, of: str
) -> None:
    served: Database = app.extensions["yardmark_database"]  # type: ignore[attr-defined]
    desk = visit("desk")
    with counted(served) as few:
        desk.get(f"{path}?of={of}")
    busy_days(database, [date(2026, 11, 26), TOMORROW])
    with counted(served) as many:
        desk.get(f"{path}?of={of}")
    assert len(few) == len(many) <= 15, len(many)


@pytest.mark.parametrize("who", ["instructor", "learner"])
def test_the_diary_is_for_the_desk_and_the_owner(visit: Visit, who: str) -> None:
    visit(who).get(DAY, status=403)
    visit("owner").get(DAY)
