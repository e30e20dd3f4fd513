"""Booking: the caller on the line, from three letters to a place with a bike."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from sqlalchemy import func, select, update

from app.rules.diary.values import BookingState
from app.store.database import Database
from app.store.diary.tables import BookingRow
from app.store.people.tables import StudentRow
from app.store.yards.tables import BikeRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor, typed_values
from tests.support.clock import Clock
from tests.support.diary import TOMORROW, add_bikes, add_session, add_students, book, booking
from tests.support.queries import counted

Visit = Callable[[str | None], Visitor]


def _bookings(database: Database) -> int:
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(BookingRow)) or 0


def _first_link(page: Page, words: str) -> str:
    links = [a for a in page.tree.iter("a") if words in "".join(a.itertext())]
    return links[0].get("href") or ""


def _main_links(page: Page) -> list[str]:
    return [a.get("href") or "" for a in page.tree.iter("a") if a.get("autofocus") is not None]


def test_a_caller_is_found_and_booked_with_the_keyboard_alone(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    desk = visit("desk")
    card = desk.get("/students?q=len&open=1")
    assert card.heading == "Lena Wren"
    (find,) = _main_links(card)
    page = desk.get(_first_link(desk.get(find), "Book "))
    (focused,) = [n for n in page.tree.iter("input") if n.get("autofocus") is not None]
    assert (focused.get("type"), focused.get("checked") is not None) == ("radio", True)
    answer = desk.submit(page)
    assert "Lena Wren is booked on " in answer.text
    assert answer.path == f"/sessions/{training}"
    with database.reading() as session:
        made = session.scalars(select(BookingRow).where(BookingRow.session_id == training)).one()
    assert (made.student_id, made.bike_id) == (people.learner, people.bike)
    assert made.booked_by == people.desk


def test_a_student_may_ride_their_own_bike(visit: Visit, database: Database, people: Cast) -> None:
    training = add_session(database, people)
    page = visit("desk").send(f"/sessions/{training}/book/{people.learner}", {"bike_id": "0"})
    assert "own bike" in page.text


def test_a_place_taken_since_the_page_was_opened_is_refused_in_plain_words(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people, places=1)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}/book/{people.learner}")
    book(database, training, people.stranger, people.bike)
    before = _bookings(database)
    answer = desk.submit(page, status=422)
    assert "This session is full: its 1 place is taken." in answer.text
    assert "Bike 1 is taken by Stan Crake" in answer.error_beside("bike_id")
    assert _bookings(database) == before


@pytest.mark.parametrize("bike", ["999", "x", "", "-1", "9" * 30, None])
def test_a_bike_that_is_not_ours_is_refused(
    visit: Visit, database: Database, people: Cast, bike: str | None
) -> None:
    training = add_session(database, people)
    before = _bookings(database)
    path = f"/sessions/{training}/book/{people.learner}"
    answer = visit("desk").send(path, {"bike_id": bike}, status=422)
    assert "Choose" in answer.error_beside("bike_id")
    assert _bookings(database) == before


def test_someone_under_18_is_not_booked_before_a_guardian_is_on_file(
    visit: Visit, database: Database, people: Cast
) -> None:
    training = add_session(database, people)
    with database.writing() as session:
        session.execute(update(StudentRow).values(date_of_birth=date(2009, 5, 17)))
    path = f"/sessions/{training}/book/{people.learner}"
    assert "no guardian is on file" in visit("desk").get(path).text
    assert "under 18" in visit("desk").send(path, status=422).text


def test_a_form_sent_twice_books_once(visit: Visit, database: Database, people: Cast) -> None:
    training = add_session(database, people)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}/book/{people.learner}")
    before = _bookings(database)
    for _ in range(2):
        assert "Lena Wren is booked on " in desk.submit(page).text
    assert _bookings(database) == before + 1


@pytest.mark.parametrize("once", ["", "x"])
def test_a_form_without_its_key_is_out_of_date(
    visit: Visit, database: Database, people: Cast, once: str
) -> None:
    training = add_session(database, people)
    path = f"/sessions/{training}/book/{people.learner}"
    assert "out of date" in visit("desk").send(path, {"once": once}, status=422).text


@pytest.mark.parametrize("ids", ["999/book/1", "1/book/999", f"{10**20}/book/1", "x/book/1"])
def test_what_is_not_there_is_not_found(visit: Visit, ids: str) -> None:
    visit("desk").get(f"/sessions/{ids}", status=404)


def test_a_student_is_found_for_a_session(visit: Visit, database: Database, people: Cast) -> None:
    training = add_session(database, people)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}?q=cra")
    assert _first_link(page, "Stan Crake") == f"/sessions/{training}/book/{people.stranger}"
    assert "Nobody here has “zzz”" in desk.get(f"/sessions/{training}?q=zzz").text


def test_a_booking_is_cancelled_and_the_desk_hears_whether_that_was_late(
    visit: Visit, database: Database, people: Cast, clock: Clock
) -> None:
    training = add_session(database, people)
    made = book(database, training, people.learner, people.bike)
    desk, asks = visit("desk"), f"/bookings/{made}/cancel"
    assert _first_link(desk.get(f"/sessions/{training}"), "Cancel the booking") == asks
    page = desk.send(asks, action=asks)
    assert "late: with less than 48 hours’ notice" in page.text
    assert "cancelled, late" in page.text
    assert booking(database, made).cancelled_by == people.desk


def test_a_stale_page_changes_nothing(visit: Visit, database: Database, people: Cast) -> None:
    desk = visit("desk")
    page = desk.get(f"/bookings/{people.booking}/cancel")
    desk.send(f"/sessions/{people.session}", action=f"/bookings/{people.booking}/here")
    answer = desk.submit(page, action=f"/bookings/{people.booking}/cancel", status=409)
    assert "Someone changed this since you opened it." in answer.text
    assert booking(database, people.booking).state is BookingState.ATTENDED
    again = desk.get(f"/bookings/{people.booking}/cancel")
    assert "cannot be cancelled any more. It is here." in again.text


def test_who_came_is_marked_and_can_be_corrected(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    path = f"/sessions/{people.session}"
    assert "is marked as here." in desk.send(path, action=f"{people.booking}/here").text
    assert "is marked as not here." in desk.send(path, action=f"{people.booking}/not-here").text
    assert booking(database, people.booking).state is BookingState.NO_SHOW


def test_nobody_is_marked_before_the_day(visit: Visit, database: Database, people: Cast) -> None:
    training = add_session(database, people)
    made = book(database, training, people.learner, people.bike)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}")
    assert not [form for form in page.forms() if f"{made}/here" in (form.get("action") or "")]
    # A page that was left open since another day could still send it.
    values = typed_values(desk.get(f"/bookings/{made}/cancel").form())
    answer = desk.post(f"/bookings/{made}/here", values, status=409)
    assert "This session is on a day still to come." in answer.text


@pytest.mark.parametrize("verb", ["cancel", "here", "not-here"])
def test_an_instructor_edits_no_bookings(visit: Visit, people: Cast, verb: str) -> None:
    teacher = visit("instructor")
    page = teacher.get("/me")
    sent = {"csrf_token": _token(page), "version": "1"}
    teacher.post(f"/bookings/{people.booking}/{verb}", sent, status=403)


def _token(page: Page) -> str:
    (found, *_) = [n for n in page.tree.iter("input") if n.get("name") == "csrf_token"]
    return found.get("value") or ""


@pytest.mark.parametrize("verb", ["cancel", "here", "not-here"])
def test_a_booking_that_is_not_there_is_not_found(visit: Visit, verb: str) -> None:
    desk = visit("desk")
    sent = {"csrf_token": _token(desk.get("/desk")), "version": "1"}
    desk.post(f"/bookings/999/{verb}", sent, status=404)
    desk.get("/bookings/999/cancel", status=404)


def test_a_full_school_asks_no_more_of_the_database(
    visit: Visit, database: Database, people: Cast, app: object
) -> None:
    served: Database = app.extensions["yardmark_database"]  # type: ignore[attr-defined]
    training = add_session(database, people)
    desk = visit("desk")
    paths = (
        f"/sessions/{training}",
        f"/sessions/{training}?q=ri",
        f"/sessions/{training}/book/{people.learner}",
        f"/students/{people.learner}",
    )
    few = [_count(desk, served, path) for path in paths]
    for rider in add_students(database, 3):
        book(database, training, rider, None)
    for number in range(1, 9):
        later = add_session(database, people, day=TOMORROW + timedelta(days=number))
        book(database, later, people.learner, people.bike)
    assert [_count(desk, served, path) for path in paths] == few


def _count(desk: Visitor, served: Database, path: str) -> int:
    with counted(served) as seen:
        desk.get(path)
    return len(seen)


def test_a_bike_off_the_road_is_changed_for_another(
    visit: Visit, database: Database, people: Cast
) -> None:
    (spare,) = add_bikes(database, 1)
    desk = visit("desk")
    page = desk.get(f"/bookings/{people.booking}/bike")
    assert "Bike 2" not in page.text  # Stan rides it at the same time
    answer = desk.submit(page)
    assert "now rides " in answer.text
    assert booking(database, people.booking).bike_id == spare


def test_a_bike_that_went_to_another_meanwhile_is_refused(
    visit: Visit, database: Database, people: Cast
) -> None:
    path = f"/bookings/{people.booking}/bike"
    answer = visit("desk").send(path, {"bike_id": str(people.other_bike)}, status=422)
    assert "Bike 2 is taken by Stan Crake" in answer.error_beside("bike_id")
    assert booking(database, people.booking).bike_id == people.bike


def test_the_bike_of_a_booking_given_up_is_not_changed(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    page = desk.get(f"/bookings/{people.booking}/bike")
    desk.send(f"/bookings/{people.booking}/cancel", action="/cancel")
    stale = desk.submit(page, {"bike_id": "0"}, status=422)
    assert "Someone changed this" in stale.text
    gone = desk.send(f"/bookings/{people.booking}/bike", {"bike_id": "0"}, status=422)
    assert "holds no place any more" in gone.text
    desk.get("/bookings/999/bike", status=404)


@pytest.mark.parametrize(("category", "warned"), [("A", True), ("A1", False)])
def test_an_authorisation_that_is_not_on_file_is_to_be_checked_before_booking(
    visit: Visit, database: Database, people: Cast, category: str, warned: bool
) -> None:
    training = add_session(database, people)
    with database.writing() as session:
        session.execute(update(BikeRow).values(category=category))
    page = visit("desk").get(f"/sessions/{training}/book/{people.learner}")
    said = "No direct access authorisation of Ines Heron is on file."
    assert (said in page.text) is warned
