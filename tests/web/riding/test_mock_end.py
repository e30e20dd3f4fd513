"""A mock test ended or stopped, and what can no longer be done to it."""

from __future__ import annotations

from app.store.database import Database
from tests.support.client import Page, typed_values
from tests.web.riding.mock import MockTest


def stop(mock: MockTest, status: int = 200, **values: str) -> Page:
    """Stop it by its own page."""
    return mock.visitor.send(mock.path("/stop"), values, "/stop", status)


def test_with_everything_ridden_it_ends_and_shows_the_verdict(mock: MockTest) -> None:
    page = mock.all_clean()
    assert "Passed" not in page.text.replace(hidden(page), "")
    assert "Stop the test" not in page.text
    after = mock.visitor.submit(page, {}, "/end")
    assert mock.row().ended_at == mock.clock()
    assert mock.row().stopped_reason is None
    assert after.path == f"/mock-tests/{mock.row().id}"
    assert "Passed: no faults" in after.text


def hidden(page: Page) -> str:
    """What is folded away, as the page's text says it."""
    folded = [" ".join(d.itertext()) for d in page.tree.iter("details")]
    return " ".join(" ".join(folded).split())


def test_the_last_manoeuvre_can_be_taken_back_before_the_end(mock: MockTest) -> None:
    page = mock.visitor.submit(mock.all_clean(), {}, "/undo")
    assert "Hazard avoidance to the left" in page.text
    assert len(mock.rides()) == 8


def test_it_does_not_end_while_something_is_left(mock: MockTest) -> None:
    page = mock.all_clean()
    action = str(page.form("/end").get("action"))
    mock.visitor.submit(page, {}, "/undo")
    refused = mock.visitor.post(action, typed_values(page.form("/end")), status=422)
    assert "Hazard avoidance to the left is still to be ridden" in refused.text
    assert mock.row().ended_at is None


def test_ended_twice_it_ended_once(mock: MockTest) -> None:
    page = mock.all_clean()
    mock.visitor.submit(page, {}, "/end")
    first = mock.row().ended_at
    mock.clock.forward(minutes=5)
    mock.visitor.submit(page, {}, "/end")
    assert mock.row().ended_at == first


def test_a_stopped_test_is_kept_as_stopped_with_its_rides(mock: MockTest) -> None:
    mock.fault(mock.begin())
    page = stop(mock, reason="Weather or surface")
    row = mock.row()
    assert (row.ended_at, row.stopped_reason) == (mock.clock(), "Weather or surface")
    assert "Stopped, so no verdict: 1 riding fault up to then." in page.text
    assert len(mock.rides()) == 1


def test_another_reason_has_to_be_given(mock: MockTest) -> None:
    mock.begin()
    page = stop(mock, 422, reason="Another reason")
    assert page.error_beside("more") == "Write the reason in a few words."
    assert mock.row().ended_at is None
    stop(mock, reason="Another reason", more="The bell rang")
    assert mock.row().stopped_reason == "The bell rang"


def test_words_alone_are_another_reason(mock: MockTest) -> None:
    mock.begin()
    stop(mock, more="The bell rang")
    assert mock.row().stopped_reason == "The bell rang"


def test_a_reason_has_to_be_chosen(mock: MockTest) -> None:
    mock.begin()
    assert stop(mock, 422).error_beside("reason")
    assert mock.row().ended_at is None


def test_a_stopped_test_gets_no_ride(mock: MockTest) -> None:
    page = mock.begin()
    stop(mock, reason="Out of time")
    refused = mock.send(page, {"press": "clean"}, 422)
    assert "This mock test has ended" in refused.text
    assert "was stopped" in refused.text
    assert mock.rides() == []


def test_nothing_is_taken_back_after_the_end(mock: MockTest) -> None:
    page = mock.clean(mock.begin())
    stop(mock, reason="Out of time")
    refused = mock.visitor.submit(page, {}, "/undo", 422)
    assert "has ended" in refused.text
    assert len(mock.rides()) == 1


def test_a_stopped_test_does_not_end_and_an_ended_one_is_not_stopped(mock: MockTest) -> None:
    page = mock.all_clean()
    stop_page = mock.visitor.get(mock.path("/stop"))
    stop(mock, reason="Out of time")
    mock.clock.forward(minutes=1)
    assert "was stopped already" in mock.visitor.submit(page, {}, "/end", 422).text
    page = mock.all_clean()
    mock.visitor.submit(page, {}, "/end")
    stop_page = mock.visitor.get(mock.path("/stop"))
    refused = mock.visitor.submit(stop_page, {"reason": "Out of time"}, "/stop", 422)
    assert "can no longer be stopped" in refused.text
    assert mock.row().stopped_reason is None


def test_afterwards_its_page_leads_to_the_debrief(mock: MockTest) -> None:
    mock.begin()
    stop(mock, reason="Out of time")
    page = mock.visitor.get(mock.path())
    assert "This test was stopped, 09:00" in page.text
    assert f"/mock-tests/{mock.row().id}" in page.html


def test_a_new_one_can_begin_after_the_end(mock: MockTest, database: Database) -> None:
    first = mock.begin()
    stop(mock, reason="Out of time")
    mock.clock.forward(minutes=1)
    assert mock.begin("right").path != first.path
