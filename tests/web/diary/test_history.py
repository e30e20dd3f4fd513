"""The history at the desk: for a booking, a session and a student."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.store import audit
from app.store.database import Database
from app.store.diary.history_reads import PAGE
from tests.support import diary
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import START

Visit = Callable[[str | None], Visitor]


def test_what_the_desk_did_is_read_back_from_session_and_card(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = diary.add_session(database, people)
    desk = visit("desk")
    desk.send(f"/sessions/{training}/book/{people.learner}")
    session = desk.get(f"/sessions/{training}")
    assert f'href="/sessions/{training}/history"' in session.html
    history = desk.get(f"/sessions/{training}/history")
    assert history.heading == "History of the session of Fri 27 Nov 2026, 09:00"
    assert "Thu 26 Nov 2026, 09:00 Dev Rook Booked the place" in history.text
    assert (
        f'href="/students/{people.learner}/history"' in desk.get(f"/students/{people.learner}").html
    )
    student = desk.get(f"/students/{people.learner}/history")
    assert student.heading == "History of Lena Wren"
    assert "Booked the place: Bike 1 Fri 27 Nov 2026, 09:00" in student.text


def test_one_booking_has_its_own_history(visit: Visit, database: Database, people: Cast) -> None:
    booking = diary.book(database, diary.add_session(database, people), people.learner, people.bike)
    page = visit("desk").get(f"/bookings/{booking}/history")
    assert page.heading == "History of a booking of Lena Wren"
    assert "Booked the place: Bike 1" in page.text
    assert "Now booked." in page.text


def test_nothing_written_down_is_said_so(visit: Visit, people: Cast) -> None:
    page = visit("desk").get(f"/students/{people.stranger}/history")
    assert "Nothing has been written down." in page.text


def test_a_long_history_goes_on_on_the_next_page(
    visit: Visit, database: Database, people: Cast
) -> None:
    with database.writing() as session:
        for number in range(PAGE + 1):
            audit.record(
                session, diary.DESK, START, "changed", "bookings", people.booking, bike=[number, 1]
            )
    desk = visit("desk")
    first = desk.get(f"/bookings/{people.booking}/history")
    (older,) = [a.get("href") for a in first.tree.iter("a") if a.text == "Older entries"]
    assert older is not None
    last = desk.get(older)
    assert "was bike 0" in last.text
    assert "Older entries" not in last.text


@pytest.mark.parametrize("path", ["/bookings/{}/history", "/sessions/{}/history"])
def test_what_is_not_there_has_no_history(visit: Visit, people: Cast, path: str) -> None:
    visit("desk").get(path.format(999), status=404)


@pytest.mark.parametrize("who", ["learner", "instructor"])
def test_the_history_is_the_desks(visit: Visit, people: Cast, who: str) -> None:
    visitor = visit(who)
    for path in ("/bookings/1/history", "/sessions/1/history", "/students/1/history"):
        visitor.get(path, status=403)


@pytest.mark.parametrize("before", ["x", "-1", "0", str(2**31), str(2**70)])
@pytest.mark.parametrize("path", ["/students/1/history", "/office/audit"])
def test_a_page_that_cannot_be_is_the_first_one(visit: Visit, path: str, before: str) -> None:
    visit("owner").get(f"{path}?before={before}")
