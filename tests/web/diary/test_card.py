"""A student's card: everything that the desk may see, on one page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from sqlalchemy import update

from app.store.database import Database
from app.store.people.tables import StudentRow
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import Clock
from tests.support.diary import TOMORROW, add_session, add_students, book

Visit = Callable[[str | None], Visitor]


def test_the_card_has_what_a_call_may_need(visit: Visit, people: Cast) -> None:
    page = visit("desk").get(f"/students/{people.learner}")
    assert page.heading == "Lena Wren"
    for words in (
        "Category A, 28 years old, 01632 960001",
        "If something happens Robin Wren , 01632 960002",
        "No CBT certificate has been seen at the desk.",
        "Thu 26 Nov 2026, 08:00 Ines Heron, Long yard, Bike 1",
    ):
        assert words in page.text


def test_finding_a_place_has_the_keyboard(visit: Visit, people: Cast) -> None:
    page = visit("desk").get(f"/students/{people.learner}")
    (focused,) = [a for a in page.tree.iter("a") if a.get("autofocus") is not None]
    assert focused.get("href") == f"/students/{people.learner}/find"


def test_three_places_are_offered_and_the_week_has_more(
    visit: Visit, database: Database, people: Cast
) -> None:
    made = [add_session(database, people, day=TOMORROW + timedelta(days=n)) for n in range(7)]
    page = visit("desk").get(f"/students/{people.learner}")
    links = [a.get("href") or "" for a in page.tree.iter("a")]
    offered = [link for link in links if link.endswith(f"/book/{people.learner}")]
    assert offered == [f"/sessions/{n}/book/{people.learner}" for n in made[:3]]
    assert "/sessions?on=2026-11-23" in links
    assert "More in the week of Mon 23 Nov 2026" in page.text


def test_without_an_email_the_card_leads_to_the_record(visit: Visit, database: Database) -> None:
    [new] = add_students(database, 1)
    page = visit("desk").get(f"/students/{new}")
    assert "An invitation needs an email on file" in page.text
    assert f'href="/students/{new}/edit#email"' in page.html


def test_a_booking_is_cancelled_from_the_card(
    visit: Visit, database: Database, people: Cast
) -> None:
    made = book(database, add_session(database, people), people.learner, people.bike)
    desk, asks = visit("desk"), f"/bookings/{made}/cancel"
    assert f'href="{asks}"' in desk.get(f"/students/{people.learner}").html
    page = desk.get(asks)
    assert page.heading == "Cancel the booking of Lena Wren"
    page = desk.submit(page, action=asks)
    assert "The booking of Lena Wren is cancelled" in page.text


def test_a_young_student_without_a_guardian_is_warned_of(
    visit: Visit, database: Database, people: Cast
) -> None:
    with database.writing() as session:
        session.execute(update(StudentRow).values(date_of_birth=date(2009, 5, 17)))
    page = visit("desk").get(f"/students/{people.learner}")
    assert "Under 18, and no guardian is on file." in page.text
    assert "17 years old" in page.text


def test_what_is_past_stands_below(visit: Visit, people: Cast, clock: Clock) -> None:
    desk = visit("desk")
    clock.forward(days=1)
    page = desk.get(f"/students/{people.learner}")
    assert "Nothing is booked." in page.text
    assert "Thu 26 Nov 2026, 08:00 Ines Heron Long yard Bike 1 booked" in page.text


def test_a_student_who_is_not_there_is_not_found(visit: Visit) -> None:
    for number in ("999", str(10**20), "x"):
        visit("desk").get(f"/students/{number}", status=404)
