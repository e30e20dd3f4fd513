"""Taking back the last ride: in one place, once, and only the last."""

from __future__ import annotations

from collections.abc import Callable

from app.store.database import Database
from app.store.diary.tables import BookingRow
from app.store.progress.writes import TAKEN_BACK
from tests.support.cast import Cast
from tests.support.client import Visitor, typed_values
from tests.support.clock import Clock
from tests.web.riding.board import Board

Visit = Callable[[str | None], Visitor]


def test_a_ride_taken_back_stays_as_an_outline_with_its_reason(board: Board) -> None:
    page = board.visitor.submit(board.press("clean"), {}, "/undo")
    (kept,) = board.rides()
    assert kept.struck_reason == TAKEN_BACK
    assert "Nothing to take back Lena Wren, Slalom, 09:00: struck out" in page.text
    assert "Lena Wren: Slalom" in page.text


def test_a_second_tap_takes_nothing_more_back(board: Board, clock: Clock) -> None:
    board.press("clean")
    clock.forward(minutes=1)
    page = board.press("clean")
    after = board.visitor.submit(page, {}, "/undo")
    board.visitor.submit(page, {}, "/undo")
    assert not [f for f in after.forms() if "/undo" in (f.get("action") or "")]
    assert [ride.struck_at is not None for ride in board.rides()] == [False, True]


def test_the_next_ride_can_be_taken_back_again(board: Board, clock: Clock) -> None:
    board.visitor.submit(board.press("clean"), {}, "/undo")
    clock.forward(minutes=1)
    board.visitor.submit(board.press("faults", fault="stall"), {}, "/undo")
    assert all(ride.struck_at for ride in board.rides())


def test_it_is_the_last_ride_of_the_session_whoever_is_on_the_board(
    board: Board, database: Database, people: Cast
) -> None:
    with database.writing() as session:
        session.get_one(BookingRow, people.other_booking).session_id = people.session
    board.press("clean")
    other = f"/yard/sessions/{people.session}?rider={people.stranger}"
    page = board.visitor.get(other)
    assert "Take back Lena Wren, Slalom, 09:00: clean" in page.text
    after = board.visitor.submit(page, {}, "/undo")
    assert "Stan Crake: Park in the bay" in after.text


def test_a_second_try_is_no_longer_due_once_the_first_is_taken_back(board: Board) -> None:
    first = board.press("clean", "emergency_stop", speed="40", source="gate")
    assert "Second try" in first.text
    assert "Second try" not in board.visitor.submit(first, {}, "/undo").text


def test_another_instructors_ride_is_not_found(visit: Visit, board: Board) -> None:
    board.press("clean")
    (kept,) = board.rides()
    other = visit("other_instructor")
    token = typed_values(other.get("/yard").form("/sign-out"))["csrf_token"][0]
    other.post(f"/yard/rides/{kept.id}/undo", {"csrf_token": token}, status=404)
    assert board.rides()[0].struck_at is None
