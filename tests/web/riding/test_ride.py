"""One ride's page: what it came to, and striking it out with a reason."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID, uuid4

import pytest

from app.store.database import Database
from tests.support.client import Page, Visitor
from tests.support.queries import counted
from tests.web.riding.board import Board

Visit = Callable[[str | None], Visitor]


@pytest.fixture
def ridden(board: Board) -> UUID:
    """A stop that was too slow, with a stall."""
    board.press("faults", "emergency_stop", fault="stall", speed="46", source="gate")
    return board.rides()[0].id


def _strike(board: Board, ridden: UUID, status: int = 200, **values: str) -> Page:
    return board.visitor.send(f"/yard/rides/{ridden}", dict(values), "/strike-out", status)


def test_a_ride_says_what_it_came_to_and_why(board: Board, ridden: UUID) -> None:
    page = board.visitor.get(f"/yard/rides/{ridden}")
    assert page.heading == "Lena Wren: Emergency stop"
    assert "too slow, to be ridden again; stall, riding" in page.text
    assert "46 km/h (29 mph)" in page.text
    assert "Thu 26 Nov 2026, 09:00" in page.text


def test_it_is_found_from_the_board(board: Board, ridden: UUID) -> None:
    assert f'href="/yard/rides/{ridden}"' in board.open().html


def test_a_ride_struck_out_stays_in_sight_with_its_reason(board: Board, ridden: UUID) -> None:
    page = _strike(board, ridden, reason="Wrong rider")
    assert "Struck out: Wrong rider. It no longer counts." in page.text
    assert "too slow" in page.text
    assert not [f for f in page.forms() if "/strike-out" in (f.get("action") or "")]


def test_another_reason_is_in_the_instructors_own_words(board: Board, ridden: UUID) -> None:
    page = _strike(board, ridden, reason="Another reason", more="A dog ran across")
    assert "Struck out: A dog ran across." in page.text


def test_words_alone_are_another_reason(board: Board, ridden: UUID) -> None:
    page = _strike(board, ridden, more="A dog ran across")
    assert "Struck out: A dog ran across." in page.text


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({}, "reason", "Choose a reason."),
        ({"reason": "nonsense"}, "reason", "Choose one from the list."),
        ({"reason": "Another reason"}, "more", "Write the reason in a few words."),
        ({"reason": "Another reason", "more": "   "}, "more", "Write the reason in a few words."),
        ({"reason": "Another reason", "more": "x" * 201}, "more", "Use at most 200 characters."),
    ],
)
def test_without_a_reason_nothing_is_struck_out(
    board: Board, ridden: UUID, values: dict[str, str], field: str, sentence: str
) -> None:
    page = _strike(board, ridden, status=422, **values)
    assert sentence in page.text
    if field == "more":
        assert sentence in page.error_beside("more")
    assert board.rides()[0].struck_at is None


def test_striking_out_from_two_open_pages_keeps_the_first_reason(
    board: Board, ridden: UUID
) -> None:
    stale = board.visitor.get(f"/yard/rides/{ridden}")
    _strike(board, ridden, reason="Wrong rider")
    board.visitor.submit(stale, {"reason": "Wrong manoeuvre"}, "/strike-out")
    assert board.rides()[0].struck_reason == "Wrong rider"


def test_a_ride_of_another_instructor_or_of_nobody_is_not_found(
    visit: Visit, board: Board, ridden: UUID
) -> None:
    visit("other_instructor").get(f"/yard/rides/{ridden}", status=404)
    board.visitor.get(f"/yard/rides/{uuid4()}", status=404)
    board.visitor.get("/yard/rides/not-a-number", status=404)
    assert "Emergency stop" in visit("owner").get(f"/yard/rides/{ridden}").heading


def test_the_page_asks_a_fixed_number_of_questions(
    board: Board, ridden: UUID, app_database: Database
) -> None:
    with counted(app_database) as few:
        board.visitor.get(f"/yard/rides/{ridden}")
    for _ in range(3):
        board.press("clean", "slalom")
    with counted(app_database) as many:
        board.visitor.get(f"/yard/rides/{ridden}")
    assert len(many) == len(few)
