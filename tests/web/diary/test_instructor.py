"""One instructor at the desk: hours, authorisations and days off."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.rules.people.authorisations import Authorisation
from app.store.database import Database
from app.store.people import instructor_reads
from app.store.people.instructor_reads import InstructorRecord
from tests.support.calendar import TODAY, days_off, set_instructor
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.diary import add_session

Visit = Callable[[str | None], Visitor]


@pytest.fixture
def path(people: Cast) -> str:
    """The address of Ines's page."""
    return f"/instructors/{people.instructor}"


def _record(database: Database, people: Cast) -> InstructorRecord:
    with database.reading() as session:
        return instructor_reads.instructor(session, people.instructor, TODAY)


def test_the_list_of_instructors_leads_to_each(visit: Visit, path: str) -> None:
    page = visit("desk").get("/instructors")
    assert any(a.get("href") == path for a in page.tree.iter("a"))


def test_an_instructor_of_whom_nothing_is_written_down(visit: Visit, path: str) -> None:
    page = visit("desk").get(path)
    assert page.heading == "Ines Heron"
    assert "they work whenever the school is open" in page.text
    assert "CBT none on file Direct access none on file" in page.text


def test_hours_and_authorisations_are_written_down(visit: Visit, path: str) -> None:
    typed = {
        "day_1": "9 to 12:30, 13:30 to 17",
        "cbt": "y",
        "cbt_until": "2026-11-20",
        "direct_access": "y",
        "direct_access_until": "2027-05-01",
    }
    page = visit("desk").send(f"{path}/edit", typed)
    assert "The record is kept." in page.text
    assert "Tuesday 09:00 to 12:30, 13:30 to 17:00 Wednesday not working" in page.text
    assert "CBT lapsed, the last day was Fri 20 Nov 2026" in page.text
    assert "Direct access on file until Sat 1 May 2027" in page.text


def test_an_authorisation_may_have_no_end_and_may_go_again(visit: Visit, path: str) -> None:
    desk = visit("desk")
    assert "CBT on file, without an end" in desk.send(f"{path}/edit", {"cbt": "y"}).text
    assert "CBT none on file" in desk.send(f"{path}/edit", {"cbt": None}).text


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"name": " "}, "name", "Write the name."),
        ({"name": "42"}, "name", "Write the name."),
        ({"day_3": "9-13, 12-17"}, "day_3", "09:00 to 13:00 and 12:00 to 17:00 overlap."),
        ({"day_3": "noon"}, "day_3", "Write the hours of Thursday as 09:00 to 17:00."),
        ({"cbt_until": "2027-01-01"}, "cbt", "Tick that the CBT authorisation is on file"),
        ({"cbt": "y", "cbt_until": "soon"}, "cbt_until", "Write a day that exists"),
        ({"cbt": "y", "cbt_until": "2206-01-01"}, "cbt_until", "Check the year."),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_and_changes_nothing(
    visit: Visit,
    database: Database,
    people: Cast,
    path: str,
    typed: dict[str, str],
    field: str,
    sentence: str,
) -> None:
    page = visit("desk").send(f"{path}/edit", {"day_0": "10-16", **typed}, status=422)
    assert sentence in page.error_beside(field)
    assert 'value="10-16"' in page.html
    assert _record(database, people).version == 1


def test_the_second_of_two_who_change_an_instructor_is_told(
    visit: Visit, database: Database, people: Cast, path: str
) -> None:
    desk = visit("desk")
    page = desk.get(f"{path}/edit")
    set_instructor(database, people.instructor, authorisations={Authorisation.CBT: None})
    again = desk.submit(page, {"day_1": "9-17"}, action="/edit", status=422)
    assert "Someone changed this since you opened it." in again.text
    assert 'value="9-17"' in again.html


def test_days_off_say_what_stands_on_them(
    visit: Visit, database: Database, people: Cast, path: str
) -> None:
    add_session(database, people)
    desk = visit("desk")
    page = desk.send(f"{path}/days-off/new", {"first_day": "2026-11-27", "reason": "Away"})
    assert "The days off are kept." in page.text
    assert "Fri 27 Nov 2026 Away 1 session with nobody booked" in page.text
    typed = {"day": "2026-11-27", "starts": "14:00", "ends": "15:00", "places": "2"}
    refused = desk.send("/sessions/new", typed, status=422)
    assert refused.error_beside("instructor_id") == "Ines Heron is off on Fri 27 Nov 2026."
    assert "Away" not in refused.text


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"first_day": ""}, "first_day", "Write the first day."),
        ({"first_day": "2026-11-27", "last_day": "2026-11-26"}, "last_day", "before it begins"),
        ({"first_day": "2026-11-01"}, "last_day", "These days are over."),
        ({"first_day": "2026-11-27", "reason": "x" * 101}, "reason", "Use at most 100 characters."),
    ],
)
def test_days_off_that_cannot_be_are_refused(
    visit: Visit, path: str, typed: dict[str, str], field: str, sentence: str
) -> None:
    page = visit("desk").send(f"{path}/days-off/new", typed, status=422)
    assert sentence in page.error_beside(field)


def test_days_off_are_taken_away_after_a_second_look(
    visit: Visit, database: Database, people: Cast
) -> None:
    made = days_off(database, people.instructor)
    desk = visit("desk")
    asked = desk.get(f"/days-off/{made}/take-away")
    assert "Ines Heron, Fri 27 Nov 2026." in asked.text
    page = desk.submit(asked, action="take-away")
    assert "The days off are taken away." in page.text
    assert "None to come." in page.text
    desk.get(f"/days-off/{made}/take-away", status=404)


def test_an_authorisation_not_on_file_is_said_where_the_session_is_made(visit: Visit) -> None:
    typed = {
        "day": "2026-11-27",
        "starts": "09:00",
        "ends": "11:00",
        "places": "2",
        "kind": "cbt",
    }
    page = visit("desk").send("/sessions/new", typed)
    assert "The session is in the diary." in page.text
    assert "No CBT authorisation of Ines Heron is on file." in page.text


def test_an_authorisation_that_ends_soon_is_said_at_the_desk(
    visit: Visit, database: Database, people: Cast, path: str
) -> None:
    ends = {Authorisation.DIRECT_ACCESS: TODAY}
    set_instructor(database, people.instructor, authorisations=ends)
    page = visit("desk").get("/desk")
    assert "Ines Heron, authorisation for direct access" in page.text
    assert "The last day is Thu 26 Nov 2026." in page.text
    assert any(a.get("href") == path for a in page.tree.iter("a"))


def test_an_unknown_instructor_has_no_page(visit: Visit) -> None:
    for address in ("", "/edit", "/days-off/new"):
        visit("desk").get(f"/instructors/999{address}", status=404)
