"""Beginning a mock test."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from sqlalchemy import select

from app.store.database import Database
from app.store.diary.tables import SessionRow
from app.store.riding.safety_tables import SafetyCheckRow
from app.store.riding.tables import MockLineRow, MockTestRow
from app.store.yards.tables import YardRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor, typed_values
from tests.support.clock import START
from tests.support.queries import counted
from tests.web.riding.board import Board
from tests.web.riding.mock import MockTest

Visit = Callable[[str | None], Visitor]


def change_yard(db: Database, people: Cast, **facts: bool) -> None:
    with db.writing() as session:
        yard = session.get_one(YardRow, people.yard)
        for name, value in facts.items():
            setattr(yard, name, value)


def how_many(db: Database) -> int:
    with db.reading() as session:
        return len(session.scalars(select(MockTestRow)).all())


def beginning(mock: MockTest, **values: str | None) -> tuple[str, dict[str, object]]:
    """Where the page sends its beginning, and what it sends."""
    form = mock.visitor.get(mock.start_path).form("/mock-test")
    return str(form.get("action")), {**typed_values(form), **values}


def test_the_board_leads_to_it(board: Board, mock: MockTest) -> None:
    page = board.open()
    assert mock.start_path in page.html
    assert mock.visitor.get(mock.start_path).heading == "Mock test: Lena Wren"


def test_while_it_runs_the_board_leads_on(board: Board, mock: MockTest) -> None:
    assert "Mock test: Lena Wren" in board.open().text
    mock.begin()
    assert "Go on with the mock test: Lena Wren" in board.open().text


def test_it_begins_with_the_first_manoeuvre(mock: MockTest, people: Cast) -> None:
    page = mock.begin()
    row = mock.row()
    assert "1 of 9" in page.text
    assert "Park in the bay" in page.text
    assert (row.session_id, row.student_id) == (people.session, people.learner)
    assert (row.side, row.started_at, row.ended_at) == ("left", START, None)
    assert row.recorded_by == people.instructor_account


def test_the_pass_rule_and_the_cautions_stand_before_it(mock: MockTest) -> None:
    text = mock.visitor.get(mock.start_path).text
    assert "no serious or dangerous fault and at most 5 riding faults" in text
    assert "everyone wears protective clothing" in text


def test_the_side_has_to_be_chosen(mock: MockTest, database: Database) -> None:
    action, values = beginning(mock)
    page = mock.visitor.post(action, values, status=422)
    assert page.error_beside("side") == "Choose the side of the avoidance."
    assert how_many(database) == 0


def test_a_yard_with_one_way_out_offers_that_side_alone(
    mock: MockTest, database: Database, people: Cast
) -> None:
    change_yard(database, people, avoidance_left=False)
    page = mock.visitor.get(mock.start_path)
    assert typed_values(page.form("/mock-test"))["side"] == ["right"]
    assert "To the left" not in page.text
    action, values = beginning(mock, side="left")
    mock.visitor.post(action, values, status=422)
    assert how_many(database) == 0
    assert "not the whole test" not in mock.begin("right").text


def test_a_yard_without_a_run_at_speed_leaves_three_out(
    mock: MockTest, database: Database, people: Cast
) -> None:
    change_yard(database, people, speed_run=False)
    before = mock.visitor.get(mock.start_path).text
    assert "Left out here: Controlled stop, Emergency stop, Hazard avoidance." in before
    page = mock.visitor.send(mock.start_path, {}, "/mock-test")
    assert "not the whole test" in page.text
    with database.reading() as session:
        reasons = session.scalars(select(MockLineRow.left_out).order_by(MockLineRow.place)).all()
    assert reasons == [None] * 6 + ["This yard has no room for the run at speed."] * 3
    assert mock.row().side is None


def test_the_safety_check_comes_first(mock: MockTest, database: Database, people: Cast) -> None:
    with database.writing() as session:
        session.delete(session.get_one(SafetyCheckRow, people.session))
    action, values = beginning(mock, side="left")
    page = mock.visitor.post(action, values, status=422)
    assert "Do the safety check of this session before its first ride." in page.text
    assert f"/yard/sessions/{people.session}/safety" in page.html
    assert how_many(database) == 0


def test_sent_twice_it_begins_once(mock: MockTest, database: Database) -> None:
    action, values = beginning(mock, side="left")
    pages: list[Page] = [mock.visitor.post(action, values) for _ in range(2)]
    assert how_many(database) == 1
    assert pages[0].path == pages[1].path


def test_a_second_one_does_not_begin_while_one_is_running(
    mock: MockTest, database: Database
) -> None:
    action, values = beginning(mock, side="left")
    mock.begin()
    page = mock.visitor.post(action, values, status=422)
    assert "is running in this session already" in page.text
    assert mock.path() in page.html
    assert how_many(database) == 1


def test_a_number_that_is_none_is_refused(mock: MockTest, database: Database) -> None:
    action, values = beginning(mock, side="left", mock_test_id="sixteen")
    assert "out of date" in mock.visitor.post(action, values, status=422).text
    assert how_many(database) == 0


def test_it_does_not_begin_before_the_day_of_the_session(
    mock: MockTest, database: Database, people: Cast
) -> None:
    with database.writing() as session:
        training = session.get_one(SessionRow, people.session)
        training.starts_at = START.replace(day=28)
        training.ends_at = START.replace(day=28, hour=12)
    action, values = beginning(mock, side="left")
    assert "begins later" in mock.visitor.post(action, values, status=422).text
    assert how_many(database) == 0


@pytest.mark.parametrize("who", ["other_instructor", "instructor"])
def test_another_rider_or_anothers_session_is_not_found(
    visit: Visit, people: Cast, who: str
) -> None:
    other = {"other_instructor": people.learner, "instructor": people.stranger}[who]
    visit(who).get(f"/yard/sessions/{people.session}/riders/{other}/mock-test", status=404)


def test_the_page_asks_a_fixed_number_of_questions(mock: MockTest, app_database: Database) -> None:
    with counted(app_database) as seen:
        mock.visitor.get(mock.start_path)
    assert len(seen) <= 24
