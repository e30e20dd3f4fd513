"""Holding, moving, waiting and courses, on the desk's screens."""

from __future__ import annotations

from collections.abc import Callable
from datetime import time, timedelta

import pytest
from sqlalchemy import func, select

from app.rules.diary.values import BookingState, GivenUpFor, WaitingState
from app.store.database import Database
from app.store.diary.tables import BookingRow, CourseRow, WaitingRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor, typed_values
from tests.support.clock import Clock
from tests.support.diary import TOMORROW, add_session, book, booking

Visit = Callable[[str | None], Visitor]


def _links(page: Page, words: str) -> list[str]:
    links = [a for a in page.tree.iter("a") if words in "".join(a.itertext())]
    return [link.get("href") or "" for link in links]


def _count(database: Database, row: type[BookingRow | WaitingRow | CourseRow]) -> int:
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(row)) or 0


def test_a_place_is_held_while_the_caller_thinks_and_then_booked(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}/book/{people.learner}")
    assert "Only hold it for 4 hours" in page.text
    held = desk.post(f"/sessions/{training}/hold/{people.learner}", typed_values(page.form()))
    assert "The place is held for Lena Wren." in held.text
    assert "held until Thu 26 Nov 2026" in held.text
    (made,) = _held(database, training)
    booked = desk.submit(held, action=f"/bookings/{made}/confirm")
    assert "Lena Wren is booked." in booked.text
    assert booking(database, made).state is BookingState.BOOKED


def _held(database: Database, training: int) -> list[int]:
    with database.reading() as session:
        query = select(BookingRow.id).where(BookingRow.session_id == training)
        return list(session.scalars(query.where(BookingRow.state == BookingState.HELD)))


def test_a_hold_is_refused_where_a_booking_is(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people, places=1)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}/book/{people.learner}")
    book(database, training, people.stranger, None)
    path = f"/sessions/{training}/hold/{people.learner}"
    answer = desk.post(path, typed_values(page.form()), status=422)
    assert "This session is full" in answer.text
    assert _held(database, training) == []


def test_a_hold_that_is_over_is_free_for_others_on_every_page(
    visit: Visit, database: Database, people: Cast, clock: Clock
) -> None:
    training = add_session(database, people, places=1)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}/book/{people.learner}")
    desk.post(f"/sessions/{training}/hold/{people.learner}", typed_values(page.form()))
    assert "Full, 1 of 1" in desk.get(f"/sessions/{training}").text
    clock.forward(hours=5)
    assert "1 of 1 free" in desk.get(f"/sessions/{training}").text


def test_a_booking_is_moved_to_another_time(visit: Visit, database: Database, people: Cast) -> None:
    first = add_session(database, people)
    second = add_session(database, people, starts=time(13), ends=time(15))
    made = book(database, first, people.learner, people.bike)
    desk = visit("desk")
    (asks,) = _links(desk.get(f"/sessions/{first}"), "Another time")
    page = desk.get(asks)
    assert page.heading == "Move the booking of Lena Wren"
    moved = desk.submit(page)
    assert moved.path == f"/sessions/{second}"
    assert "Lena Wren now comes on Fri 27 Nov 2026, 13:00." in moved.text
    assert "less than 48 hours’ notice" in moved.text
    assert booking(database, made).session_id == second


@pytest.mark.parametrize("target", ["", "x", "1:x", "999:0", f"{10**20}:1", None])
def test_a_target_that_is_none_is_refused(
    visit: Visit, database: Database, people: Cast, target: str | None
) -> None:
    first = add_session(database, people)
    add_session(database, people, starts=time(13), ends=time(15))
    made = book(database, first, people.learner, people.bike)
    status = 404 if target == "999:0" else 422
    visit("desk").send(f"/bookings/{made}/move", {"target": target}, status=status)
    assert booking(database, made).session_id == first


def test_where_nothing_else_is_free_the_waiting_list_is_offered(
    visit: Visit, database: Database, people: Cast
) -> None:
    made = book(database, add_session(database, people), people.learner, people.bike)
    page = visit("desk").get(f"/bookings/{made}/move")
    assert _links(page, "Put them on the waiting list") == [f"/students/{people.learner}/wait"]


@pytest.mark.parametrize(
    ("reason", "said"),
    [(GivenUpFor.STUDENT, "late"), (GivenUpFor.SCHOOL, ""), (GivenUpFor.WEATHER, "")],
)
def test_it_is_said_for_what_a_booking_is_cancelled(
    visit: Visit, database: Database, people: Cast, reason: GivenUpFor, said: str
) -> None:
    made = book(database, add_session(database, people), people.learner, people.bike)
    page = visit("desk").send(
        f"/bookings/{made}/cancel", {"reason": reason.value}, action=f"/bookings/{made}/cancel"
    )
    assert f"The booking of Lena Wren is cancelled{', late' if said else '.'}" in page.text
    assert booking(database, made).given_up_for is reason


def test_somebody_waits_and_is_taken_off_the_list(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    page = desk.send(f"/students/{people.learner}/wait", {"begins": "09:30"})
    assert page.path == "/waiting"
    assert "Lena Wren is on the waiting list." in page.text
    assert "Thu 26 Nov 2026 to Thu 7 Jan 2027, from 09:30" in page.text
    assert "waits" in desk.get(f"/students/{people.learner}").text
    off = desk.submit(page, action="/waiting/1/withdraw")
    assert "Lena Wren is off the waiting list." in off.text
    assert "Nobody waits for a place." in off.text
    with database.reading() as session:
        assert session.get_one(WaitingRow, 1).state is WaitingState.WITHDRAWN


def test_who_waits_for_one_session_is_offered_its_place(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people, places=1)
    made = book(database, training, people.stranger, people.bike)
    desk = visit("desk")
    page = desk.send(f"/students/{people.learner}/wait?session={training}")
    assert "only Fri 27 Nov 2026, 09:00" in page.text
    desk.send(f"/bookings/{made}/cancel", action=f"/bookings/{made}/cancel")
    listed = desk.get("/waiting")
    assert "is held until" in listed.text
    (offered,) = _held(database, training)
    desk.submit(listed, action=f"/bookings/{offered}/confirm")
    assert "Nobody waits" in desk.get("/waiting").text


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("last_day", "2020-01-01", "This day is before the first"),
        ("first_day", "2026-02-30", "Write a day that exists"),
        ("weekdays", None, "Choose at least one day"),
        ("weekdays", "9", "Choose one from the list"),
        ("ends", "25:00", "Write a time of day"),
        ("kind", "x", "Choose one from the list"),
    ],
)
def test_what_cannot_be_waited_for_is_refused_at_its_field(
    visit: Visit, database: Database, people: Cast, field: str, value: str | None, sentence: str
) -> None:
    path = f"/students/{people.learner}/wait"
    page = visit("desk").send(path, {field: value}, status=422)
    assert sentence in page.error_beside(field)
    assert _count(database, WaitingRow) == 0


def test_a_course_is_proposed_and_booked_in_one_go(
    visit: Visit, database: Database, people: Cast
) -> None:
    for number in range(4):
        add_session(database, people, day=TOMORROW + timedelta(days=number))
    desk = visit("desk")
    path = f"/students/{people.learner}/course"
    page = desk.get(
        f"{path}?kind=module_1&number=2&days_between=2&first_day=2026-11-27&last_day=2026-12-20"
    )
    assert "Sun 29 Nov 2026, 09:00" in page.text
    assert "Sat 28 Nov 2026, 09:00" not in page.text
    done = desk.submit(page, {"name": "Two mornings"}, action=path)
    assert "All of it is booked." in done.text
    assert (_count(database, CourseRow), _count(database, BookingRow)) == (1, 4)


def test_a_course_that_lost_a_place_meanwhile_books_nothing(
    visit: Visit, database: Database, people: Cast
) -> None:
    first = add_session(database, people, places=1)
    add_session(database, people, day=TOMORROW + timedelta(days=2))
    desk = visit("desk")
    path = f"/students/{people.learner}/course"
    page = desk.get(
        f"{path}?kind=module_1&number=2&days_between=2&first_day=2026-11-27&last_day=2026-12-20"
    )
    book(database, first, people.stranger, None)
    before = _count(database, BookingRow)
    answer = desk.submit(page, {"name": "Two mornings"}, action=path, status=422)
    assert "Fri 27 Nov 2026, 09:00: This session is full" in answer.text
    assert typed_values(answer.form())["name"] == ["Two mornings"]
    assert (_count(database, CourseRow), _count(database, BookingRow)) == (0, before)


@pytest.mark.parametrize(
    ("field", "value"),
    [("number", "0"), ("number", "13"), ("number", "x"), ("days_between", "-1"),
     ("last_day", "2020-01-01"), ("last_day", "2029-01-01"), ("first_day", "soon")],
)  # fmt: skip
def test_a_course_that_cannot_be_is_refused_at_its_field(
    visit: Visit, people: Cast, field: str, value: str
) -> None:
    asked = {"kind": "module_1", "number": "2", "days_between": "2",
             "first_day": "2026-11-27", "last_day": "2026-12-20"} | {field: value}  # fmt: skip
    query = "&".join(f"{name}={said}" for name, said in asked.items())
    page = visit("desk").get(f"/students/{people.learner}/course?{query}", status=422)
    assert page.error_beside(field)
