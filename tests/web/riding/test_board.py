"""The session board: who rides, what can be ridden, what can be seen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from uuid import UUID

import pytest
from sqlalchemy import insert, update

from app.rules.riding.values import Outcome
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.riding.tables import AttemptRow
from app.store.yards.tables import YardRow
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.riding import ride_often
from tests.web.riding.board import Board, variant_id

Visit = Callable[[str | None], Visitor]


def test_the_board_opens_on_its_first_rider_and_the_first_manoeuvre(board: Board) -> None:
    page = board.visitor.get(f"/yard/sessions/{board.people.session}")
    assert page.heading == "Long yard, 08:00"
    for words in ("Lena Wren: Park in the bay", "Bike 1", "Clean", "Nothing to take back"):
        assert words in page.text


def test_what_a_rider_is_flagged_for_stands_on_the_tab_and_on_the_manoeuvres(
    board: Board, database: Database, people: Cast
) -> None:
    assert "Flagged: Park in the bay, Wheel into the next bay" in board.open().text
    ride_often(database, people, sessions=2, rides=4)
    page = board.open("slalom")
    assert "Slalom working on it" in page.text
    assert "Park in the bay not yet ridden" in page.text
    assert "Flagged: Slalom" in page.text or "Flagged: U-turn" in page.text


def test_a_fault_is_offered_with_its_usual_severity_and_a_side_where_it_has_one(
    board: Board,
) -> None:
    page = board.open()
    ticks = [node.get("value") for node in page.tree.iter("input") if node.get("name") == "fault"]
    assert {"cone_touched:left", "cone_touched:right", "stall", "looked_down"} <= set(ticks)
    assert "line_crossed" not in ticks
    assert "Cone touched, left serious" in page.text
    assert "Remarks, not faults" in page.text


def test_the_speed_is_asked_only_where_there_is_a_minimum(board: Board) -> None:
    assert "Minimum 50 km/h (31 mph)" in board.open("emergency_stop").text
    assert "Minimum" not in board.open("slalom").text


def test_no_speed_is_there_until_somebody_measures_one(board: Board) -> None:
    page = board.open("emergency_stop")
    (figure,) = [node for node in page.tree.iter("input") if node.get("name") == "speed"]
    assert figure.get("value") == ""
    (chosen,) = [
        node.get("value")
        for node in page.tree.iter("input")
        if node.get("name") == "source" and node.get("checked") is not None
    ]
    assert chosen == "none"


def test_each_rider_keeps_their_own_manoeuvre(
    board: Board, database: Database, people: Cast
) -> None:
    with database.writing() as session:
        session.get_one(BookingRow, people.other_booking).session_id = people.session
    board.press("clean", "slalom")
    page = board.visitor.get(f"/yard/sessions/{people.session}?rider={people.stranger}")
    slalom = variant_id(database, "slalom")
    assert f"rider={people.learner}&amp;variant={slalom}" in page.html
    assert "Stan Crake: Park in the bay" in page.text


def test_a_yard_that_cannot_be_ridden_to_the_left_offers_only_the_right(
    visit: Visit, people: Cast
) -> None:
    page = visit("other_instructor").get(f"/yard/sessions/{people.other_session}")
    assert "Hazard avoidance to the right" in page.text
    assert "Hazard avoidance to the left" not in page.text
    assert "This yard has no safe way out to the left." in page.text


@pytest.mark.parametrize("variant", ["999999", "-1", "x"])
def test_a_manoeuvre_that_is_not_ridden_here_has_no_board(
    visit: Visit, database: Database, people: Cast, variant: str
) -> None:
    status = 200 if variant == "x" else 404
    path = f"/yard/sessions/{people.other_session}?variant="
    visit("other_instructor").get(path + variant, status=status)
    left = variant_id(database, "avoidance", "left")
    visit("other_instructor").get(f"{path}{left}", status=404)


def test_a_rider_of_another_session_is_not_on_this_board(board: Board) -> None:
    path = f"/yard/sessions/{board.people.session}?rider={board.people.stranger}"
    board.visitor.get(path, status=404)


def test_an_instructor_opens_their_own_sessions_and_an_owner_all(
    visit: Visit, people: Cast
) -> None:
    visit("other_instructor").get(f"/yard/sessions/{people.session}", status=404)
    page = visit("owner").get(f"/yard/sessions/{people.session}")
    assert "Lena Wren" in page.text
    assert "My sessions" not in page.text
    for who in ("desk", "learner"):
        visit(who).get(f"/yard/sessions/{people.session}", status=403)


def test_a_session_without_riders_says_who_books_them(
    board: Board, database: Database, people: Cast
) -> None:
    with database.writing() as session:
        session.get_one(BookingRow, people.booking).session_id = people.other_session
    page = board.visitor.get(f"/yard/sessions/{people.session}")
    assert "Nobody has a place in this session yet. The desk books them." in page.text


def test_a_cancelled_session_has_no_board(board: Board, database: Database, people: Cast) -> None:
    with database.writing() as session:
        session.execute(update(SessionRow).values(cancelled_at=START))
    board.visitor.get(f"/yard/sessions/{people.session}", status=404)


def test_a_yard_where_nothing_can_be_ridden_left_or_right_still_offers_the_rest(
    board: Board, database: Database
) -> None:
    with database.writing() as session:
        session.execute(update(YardRow).values(speed_run=False))
    text = board.visitor.get(f"/yard/sessions/{board.people.session}").text
    assert "Slalom" in text
    assert "Emergency stop" not in text
    assert "This yard has no room for the run at speed." in text


def test_a_session_of_another_day_says_so(board: Board, database: Database, people: Cast) -> None:
    assert "A ride recorded now" not in board.open().text
    past = START - timedelta(days=2)
    with database.writing() as session:
        own = session.get_one(SessionRow, people.session)
        own.starts_at, own.ends_at = past, past + timedelta(hours=2)
    assert "This session is on Tue 24 Nov 2026, 09:00." in board.open().text


def _many(db: Database, people: Cast, number: int) -> None:
    slalom = variant_id(db, "slalom")
    with db.writing() as session:
        session.get_one(BookingRow, people.other_booking).session_id = people.session
        session.execute(
            insert(AttemptRow),
            [
                {
                    "id": UUID(int=1000 + n),
                    "session_id": people.session,
                    "student_id": people.learner,
                    "variant_id": slalom,
                    "ridden_at": START + timedelta(seconds=n),
                    "received_at": START,
                    "outcome": Outcome.CLEAN,
                    "second_try": False,
                }
                for n in range(number)
            ],
        )


def test_the_board_asks_as_much_for_two_riders_and_500_rides_as_for_one_and_none(
    board: Board, app_database: Database, database: Database, people: Cast
) -> None:
    with counted(app_database) as few:
        board.open()
    _many(database, people, 500)
    with counted(app_database) as many:
        page = board.open()
    assert "500 rides of Lena Wren in this session" in page.text
    assert len(many) == len(few)


def test_a_board_carries_a_number_for_the_next_ride_and_a_new_one_each_time(board: Board) -> None:
    numbers = {
        node.get("value")
        for _ in range(3)
        for node in board.open().tree.iter("input")
        if node.get("name") == "attempt_id"
    }
    assert len({UUID(number) for number in numbers if number}) == 3
