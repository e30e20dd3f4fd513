"""The desk's screens of opening hours and closures."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.store.database import Database
from app.store.yards import opening
from tests.support.calendar import TODAY, close, days_off, set_school
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.diary import add_session, add_students, book

Visit = Callable[[str | None], Visitor]
NEW = "/closures/new"
DAYS = {"first_day": "2026-11-27", "last_day": "2026-11-28", "reason": "Frost"}


def test_opening_hours_are_typed_day_by_day(visit: Visit) -> None:
    page = visit("desk").send("/opening", {"day_1": "9-17:30", "day_5": "10:00 to 15:00"})
    assert "The opening hours are kept." in page.text
    assert "Monday closed Tuesday 09:00 to 17:30" in page.text
    assert "Saturday 10:00 to 15:00 Sunday closed" in page.text


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("nine", "Write the hours of Tuesday as 09:00 to 17:00."),
        ("17-9", "17:00 to 09:00 does not end after it begins."),
        ("9-12, 13-17", "Write one time only, as 09:00 to 17:00."),
        ("9-25", "There is no time 25:00."),
        ("9" * 61, "Use at most 60 characters. This has 61."),
    ],
)
def test_hours_that_cannot_be_are_refused_at_their_day_and_kept_as_typed(
    visit: Visit, database: Database, typed: str, sentence: str
) -> None:
    page = visit("desk").send("/opening", {"day_1": typed, "day_2": "9-17"}, status=422)
    assert page.error_beside("day_1") == sentence
    assert f'value="{typed}"' in page.html
    assert 'value="9-17"' in page.html
    with database.reading() as session:
        assert opening.opening_hours(session) == ()


def test_the_second_of_two_who_change_the_hours_is_told(visit: Visit) -> None:
    desk, owner = visit("desk"), visit("owner")
    page = desk.get("/opening")
    owner.send("/opening", {"day_1": "9-17"})
    again = desk.submit(page, {"day_1": "8-16"}, action="/opening", status=422)
    assert "Someone changed this since you opened it." in again.text
    assert 'value="8-16"' in again.html


def test_a_closure_says_what_stands_on_its_days_and_leads_there(
    visit: Visit, database: Database, people: Cast
) -> None:
    made = add_session(database, people)
    book(database, made, add_students(database, 1)[0], None)
    page = visit("desk").send(NEW, DAYS)
    assert "The closure is kept." in page.text
    assert "Fri 27 Nov 2026 to Sat 28 Nov 2026 The whole school Frost" in page.text
    assert "1 session with 1 student , the first on Fri 27 Nov 2026" in page.text
    assert any("2026-11-27" in (a.get("href") or "") for a in page.tree.iter("a"))


def test_the_desk_is_reminded_of_what_stands_on_a_closed_day(
    visit: Visit, database: Database, people: Cast
) -> None:
    add_session(database, people)
    close(database, yard=people.yard)
    days_off(database, people.instructor)
    page = visit("desk").get("/desk")
    assert "Long yard closed, Fri 27 Nov 2026" in page.text
    assert "Ines Heron off, Fri 27 Nov 2026" in page.text
    assert "1 session still stands on these days, with nobody booked." in page.text
    links = {a.get("href") or "" for a in page.tree.iter("a")}
    for lost in (f"yard-{people.yard}", f"instructor-{people.instructor}"):
        assert f"/affected?without={lost}&first=2026-11-27&last=2026-11-27" in links


def test_one_yard_is_closed_for_one_day(visit: Visit, people: Cast) -> None:
    page = visit("desk").send(NEW, {**DAYS, "last_day": "", "yard_id": str(people.small_yard)})
    assert "Fri 27 Nov 2026 Short yard Frost none" in page.text


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"first_day": ""}, "first_day", "Write the first day."),
        ({"first_day": "2026-02-30"}, "first_day", "Write a day that exists"),
        ({"last_day": "2026-11-20"}, "last_day", "That ends before it begins"),
        ({"first_day": "2026-11-01", "last_day": "2026-11-02"}, "last_day", "are over"),
        ({"last_day": "2028-11-28"}, "last_day", "longer than a year"),
        ({"first_day": "2036-11-27", "last_day": ""}, "first_day", "Check the year."),
        ({"reason": " "}, "reason", "Write why: those who want to book are told."),
        ({"reason": "x" * 101}, "reason", "Use at most 100 characters."),
        ({"yard_id": "99"}, "yard_id", "Choose one from the list."),
    ],
)
def test_a_closure_that_cannot_be_is_refused_at_its_field(
    visit: Visit, database: Database, changes: dict[str, str], field: str, sentence: str
) -> None:
    page = visit("desk").send(NEW, {**DAYS, **changes}, status=422)
    assert sentence in page.error_beside(field)
    with database.reading() as session:
        assert opening.closures(session, TODAY) == ()


def test_a_closure_is_taken_away_after_a_second_look(visit: Visit, database: Database) -> None:
    made = close(database)
    desk = visit("desk")
    asked = desk.get(f"/closures/{made}/take-away")
    assert "The whole school, Fri 27 Nov 2026: Frost." in asked.text
    page = desk.submit(asked, action="take-away")
    assert "The closure is taken away." in page.text
    assert "No closure is written down." in page.text
    desk.get(f"/closures/{made}/take-away", status=404)


def test_the_bank_holidays_to_come_are_listed(visit: Visit, database: Database) -> None:
    desk = visit("desk")
    page = desk.get("/closures")
    assert "The school is closed on them." in page.text
    assert "Mon 28 Dec 2026: Boxing Day (substitute day)" in page.text
    set_school(database, nation="SCT", open_on_bank_holidays=True)
    page = desk.get("/closures")
    assert "The school is open on them." in page.text
    assert "Mon 30 Nov 2026: Saint Andrew’s Day" in page.text
    set_school(database, nation="")
    assert "keeps the bank holidays of no nation" in desk.get("/closures").text


def test_a_session_on_a_closed_day_is_refused_and_an_older_one_says_so(
    visit: Visit, database: Database, people: Cast
) -> None:
    made = add_session(database, people)
    desk = visit("desk")
    desk.send(NEW, DAYS)
    typed = {"day": "2026-11-28", "starts": "09:00", "ends": "11:00", "places": "2"}
    page = desk.send("/sessions/new", typed, status=422)
    assert page.error_beside("day") == (
        "The school is closed from Fri 27 Nov 2026 to Sat 28 Nov 2026: Frost."
    )
    shown = desk.get(f"/sessions/{made}")
    assert "This session was made before the following was so." in shown.text
    assert "The school is closed from Fri 27 Nov 2026 to Sat 28 Nov 2026: Frost." in shown.text


def test_a_bank_holiday_that_is_open_is_said_on_the_session(
    visit: Visit, database: Database, people: Cast
) -> None:
    set_school(database, nation="SCT", open_on_bank_holidays=True)
    desk = visit("desk")
    typed = {"day": "2026-11-30", "starts": "09:00", "ends": "11:00", "places": "2"}
    page = desk.send("/sessions/new", typed)
    assert "Mon 30 Nov 2026 is a bank holiday (Saint Andrew’s Day)." in page.text


def test_instructors_and_students_have_no_closures(visit: Visit) -> None:
    for who in ("instructor", "learner"):
        visit(who).get("/closures", status=403)
