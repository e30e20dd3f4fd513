"""The debrief of a mock test, for the instructor and for the student."""

from __future__ import annotations

from collections.abc import Callable
from uuid import uuid4

import pytest
from flask import Flask

from app.store.database import Database
from app.store.yards.tables import YardRow
from tests.support import cast
from tests.support.client import Page, Visitor
from tests.support.clock import Clock
from tests.support.queries import counted
from tests.web.riding.mock import AT_50, MockTest

Visit = Callable[[str | None], Visitor]


@pytest.fixture
def mock(visit: Visit, database: Database, people: cast.Cast, clock: Clock) -> MockTest:
    """Lena's mock test, with her instructor before it."""
    return MockTest(visit("instructor"), database, people, clock)


def end(mock: MockTest, page: Page) -> Page:
    """End the test; the debrief."""
    return mock.visitor.submit(page, {}, "/end")


def stopped(mock: MockTest) -> Page:
    """Stop the test; the debrief."""
    return mock.visitor.send(mock.path("/stop"), {"reason": "Out of time"}, "/stop")


def own(mock: MockTest) -> str:
    """Where the student finds it."""
    return f"/mine/mock-tests/{mock.row().id}"


def section(page: Page, name: str) -> str:
    """The text of one section by its id."""
    parts = [s for s in page.tree.iter("section") if s.get("aria-labelledby") == name]
    return " ".join(" ".join(parts[0].itertext()).split())


def test_it_says_who_where_and_when(mock: MockTest) -> None:
    page = end(mock, mock.all_clean())
    assert page.heading == "Mock test: Lena Wren"
    assert "Thu 26 Nov 2026, 09:00, Long yard, with Ines Heron, on Bike 1." in page.text


def test_a_failed_test_gives_its_reasons_cones_and_counts(mock: MockTest) -> None:
    page = mock.fault(mock.begin(), "cone_touched:left")
    page = mock.clean(page)
    for _ in range(5):
        page = mock.fault(page)
    page = mock.clean(mock.clean(page, **AT_50), speed="44", source="gate")
    page = end(mock, mock.clean(page, speed="49", source="gate"))
    verdict, table = section(page, "verdict"), section(page, "ridden")
    assert "Not passed: 1 serious fault, 6 riding faults." in verdict
    assert "Park in the bay: cone touched on the left, a serious fault." in verdict
    assert "6 riding faults in the whole test; at most 5 may pass." in verdict
    assert "5 times: stall. An examiner may judge" in verdict
    assert "too slow, to be ridden again; 44 km/h (27 mph)" in table
    assert "Second try: too slow, riding; 49 km/h (30 mph)" in table
    faults = section(page, "faults")
    assert "5 times: stall, riding" in faults
    assert "1 time: too slow, riding (Hazard avoidance to the left)" in faults
    assert "ridden again" not in faults
    legend = 1
    assert "The oldest ride stands" not in page.text
    assert page.html.count('href="#cone-fallen"') == 1 + legend
    assert page.html.count('href="#cone-leaning"') == 7 + legend


def test_a_speed_counts_as_a_fault_where_it_is_one_whatever_else_was_seen(mock: MockTest) -> None:
    """Not measured, or to be ridden again, is none; just under the minimum is, beside another."""
    page = mock.clean_up_to(mock.begin(), "Emergency stop")
    page = mock.fault(page, speed="", source="none")
    page = end(mock, mock.fault(page, speed="49", source="gate"))
    assert "speed not measured; stall, riding" in section(page, "ridden")
    faults = section(page, "faults")
    assert "2 times: stall, riding" in faults
    assert "1 time: too slow, riding (Hazard avoidance to the left)" in faults
    assert "not measured" not in faults


def test_a_test_without_the_speed_run_is_marked_not_whole(
    mock: MockTest, database: Database, people: cast.Cast
) -> None:
    with database.writing() as session:
        session.get_one(YardRow, people.yard).speed_run = False
    page = mock.visitor.send(mock.start_path, {}, "/mock-test")
    for _ in range(6):
        page = mock.clean(page)
    page = end(mock, page)
    assert "Not the whole test, 3 exercises left out: no faults in the rest." in page.text
    assert "Left out. This yard has no room for the run at speed." in section(page, "ridden")


def test_a_yard_changed_afterwards_changes_no_old_test(
    mock: MockTest, database: Database, people: cast.Cast
) -> None:
    before = section(end(mock, mock.all_clean()), "verdict")
    with database.writing() as session:
        session.get_one(YardRow, people.yard).speed_run = False
    assert section(mock.visitor.get(f"/mock-tests/{mock.row().id}"), "verdict") == before


def test_a_stopped_test_says_so_and_why(mock: MockTest) -> None:
    mock.fault(mock.begin())
    page = stopped(mock)
    assert "Stopped at 09:01: Out of time." in section(page, "verdict")
    assert "Not ridden." in section(page, "ridden")


def test_what_to_practise_first_stands_with_its_cautions(mock: MockTest) -> None:
    page = end(mock, mock.all_clean())
    practise = section(page, "practise")
    assert "Clean looks like:" in practise
    assert "Take care:" in practise
    assert "your instructor's judgement come before anything written here" in practise


def test_a_ride_struck_out_afterwards_changes_the_verdict(mock: MockTest) -> None:
    page = mock.clean_up_to(mock.begin(), "Hazard avoidance to the left")
    page = end(mock, mock.fault(page, "cone_touched:left", **AT_50))
    assert "Not passed" in page.text
    ride = mock.rides()[-1].id
    mock.visitor.send(f"/yard/rides/{ride}", {"reason": "Pressed by mistake"}, "/strike-out")
    assert "No verdict yet, 1 exercise still open" in mock.visitor.get(page.path).text


def test_the_student_finds_it_from_their_own_page(visit: Visit, mock: MockTest) -> None:
    end(mock, mock.all_clean())
    lena = visit("learner")
    assert own(mock) in lena.get("/mine").html
    page = lena.get(own(mock))
    assert "Passed: no faults" in page.text
    assert "/students/" not in page.html


def test_the_instructor_finds_it_from_the_students_progress(mock: MockTest) -> None:
    page = end(mock, mock.all_clean())
    progress = mock.visitor.get(f"/students/{mock.people.learner}/progress")
    assert page.path in progress.html
    assert "Mock test, Thu 26 Nov 2026, 09:00" in progress.text


def test_nobody_sees_a_verdict_before_the_end(visit: Visit, mock: MockTest) -> None:
    mock.begin()
    lena = visit("learner")
    assert "mock-tests" not in lena.get("/mine").html
    lena.get(own(mock), status=404)
    mock.visitor.get(f"/mock-tests/{mock.row().id}", status=404)


def test_another_students_debrief_is_not_found(visit: Visit, mock: MockTest) -> None:
    end(mock, mock.all_clean())
    visit("stranger").get(own(mock), status=404)
    visit("learner").get(f"/mock-tests/{mock.row().id}", status=403)


def test_an_unknown_one_is_not_found(visit: Visit, mock: MockTest) -> None:
    visit("learner").get(f"/mine/mock-tests/{uuid4()}", status=404)


def test_a_debrief_asks_the_same_however_much_was_ridden(app: Flask, mock: MockTest) -> None:
    counts = []
    mock.begin()
    pages = [stopped(mock), end(mock, mock.all_clean())]
    for page in pages:
        with counted(app.extensions["yardmark_database"]) as seen:
            mock.visitor.get(page.path)
        counts.append(len(seen))
    assert counts[0] == counts[1] <= 36
