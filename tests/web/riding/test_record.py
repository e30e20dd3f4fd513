"""Recording a ride: clean in one press, a fault in two, and every way of getting it wrong."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

import pytest
from sqlalchemy import update

from app.rules.diary.values import BookingState
from app.rules.riding.values import Outcome, Severity, Side, SpeedSource
from app.store.database import Database
from app.store.diary.tables import BookingRow
from app.store.yards.tables import YardRow
from tests.support.cast import Cast
from tests.support.client import Visitor, typed_values
from tests.support.clock import Clock
from tests.web.riding.board import Board

Visit = Callable[[str | None], Visitor]
CONE = "cone_touched:left"


def test_one_press_records_a_clean_ride_and_shows_it_with_its_undo(board: Board) -> None:
    page = board.press("clean")
    (kept,) = board.rides()
    assert kept.outcome is Outcome.CLEAN
    assert kept.recorded_by == board.people.instructor_account
    assert "Take back Lena Wren, Slalom, 09:00: clean" in page.text
    assert "Lena Wren: Slalom" in page.text


def test_a_fault_and_a_press_record_it_with_its_usual_severity(board: Board) -> None:
    page = board.press("faults", fault=CONE)
    assert board.faults() == [("cone_touched", Severity.SERIOUS, Side.LEFT)]
    assert "cone touched on the left, serious" in page.text


def test_a_severity_is_the_instructors_to_change(board: Board) -> None:
    chosen: dict[str, Any] = {"fault": "stall", "severity-stall": "dangerous"}
    board.press("faults", **chosen)
    assert board.faults() == [("stall", Severity.DANGEROUS, None)]
    assert [ride.outcome for ride in board.rides()] == [Outcome.DANGEROUS]


def test_a_ride_has_as_many_faults_as_were_seen(board: Board) -> None:
    board.press("faults", fault=[CONE, "cone_touched:right", "stall", "looked_down"])
    assert [kind for kind, _, _ in board.faults()] == [
        "cone_touched",
        "cone_touched",
        "stall",
        "looked_down",
    ]
    assert len(board.rides()) == 1


def test_a_remark_leaves_a_ride_clean(board: Board) -> None:
    page = board.press("clean", fault="looked_down")
    assert [ride.outcome for ride in board.rides()] == [Outcome.CLEAN]
    assert "clean; remark: looked down" in page.text


def test_a_speed_is_kept_with_where_it_came_from(board: Board) -> None:
    page = board.press("clean", "emergency_stop", speed="51.5", source="radar")
    (kept,) = board.rides()
    assert (kept.speed_kmh, kept.speed_source) == (51.5, SpeedSource.RADAR)
    assert "clean; 51.5 km/h (32 mph)" in page.text
    assert 'data-usual="radar"' in page.html


def test_a_speed_that_nobody_measured_is_not_made_up(board: Board) -> None:
    page = board.press("clean", "emergency_stop")
    (kept,) = board.rides()
    assert (kept.outcome, kept.speed_kmh) == (Outcome.UNMEASURED, None)
    assert "speed not measured" in page.text


def test_too_slow_is_ridden_again_and_the_second_try_is_offered(board: Board, clock: Clock) -> None:
    first = board.press("clean", "emergency_stop", speed="47", source="gate")
    assert "too slow, to be ridden again" in first.text
    assert "Second try" in first.text
    clock.forward(minutes=2)
    board.press("clean", "emergency_stop", speed="47", source="gate")
    assert [ride.outcome for ride in board.rides()] == [Outcome.RIDE_AGAIN, Outcome.SERIOUS]
    assert "Second try" not in board.open("emergency_stop").text
    assert "Second try" not in board.open("slalom").text


def test_the_first_ride_says_that_the_student_is_here(board: Board, database: Database) -> None:
    board.press("clean")
    with database.reading() as session:
        booking = session.get_one(BookingRow, board.people.booking)
        assert booking.state is BookingState.ATTENDED


def test_two_presses_of_one_page_record_one_ride(board: Board) -> None:
    page = board.open()
    for _ in range(2):
        board.visitor.submit(page, {"press": "clean"}, "/yard/sessions/")
    assert len(board.rides()) == 1


def test_an_old_page_with_another_ride_on_it_is_refused_and_can_be_sent_again(
    board: Board,
) -> None:
    page = board.open()
    board.visitor.submit(page, {"press": "clean"}, "/yard/sessions/")
    stale = {"press": "faults", "fault": CONE}
    again = board.visitor.submit(page, stale, "/yard/sessions/", status=422)
    assert "This page had recorded a ride already, and it was another one." in again.text
    assert len(board.rides()) == 1
    board.visitor.submit(again, {"press": "faults"}, "/yard/sessions/")
    assert len(board.rides()) == 2
    assert board.faults() == [("cone_touched", Severity.SERIOUS, Side.LEFT)]


def test_what_was_ticked_is_still_ticked_when_a_ride_is_refused(board: Board) -> None:
    page = board.press(
        "clean",
        "emergency_stop",
        status=422,
        fault=["stall", "looked_down"],
        speed="46",
        source="dial",
        **{"severity-stall": "serious"},
    )
    kept = typed_values(page.form("/yard/sessions/"))
    assert kept["fault"] == ["stall", "looked_down"]
    assert kept["severity-stall"] == ["serious"]
    assert (kept["speed"], kept["source"]) == (["46"], ["dial"])
    assert not board.rides()


REFUSALS: list[tuple[str, dict[str, Any], str]] = [
    ("slalom", {"press": "clean", "fault": CONE}, "A fault is ticked, so this ride is not clean."),
    ("slalom", {"press": "faults"}, "Tick what you saw, or record the ride as clean."),
    ("slalom", {"press": "nonsense"}, "Tick what you saw, or record the ride as clean."),
    ("slalom", {"press": "faults", "fault": "nonsense"}, "That fault is not offered here."),
    ("slalom", {"press": "faults", "fault": "line_crossed"}, "That fault is not offered here."),
    ("slalom", {"press": "faults", "fault": "cone_touched:up"}, "That fault is not offered here."),
    ("slalom", {"press": "faults", "fault": "stall:left"}, "Stall has no left or right."),
    ("slalom", {"press": "faults", "fault": ["stall", "stall"]}, "Record each thing once."),
    (
        "slalom",
        {"press": "faults", "fault": "stall", "severity-stall": "awful"},
        "That fault is not offered here.",
    ),
    ("slalom", {"press": "clean", "attempt_id": "x"}, "This page is out of date. Load it again."),
    ("slalom", {"press": "clean", "attempt_id": ""}, "This page is out of date. Load it again."),
]


@pytest.mark.parametrize(("manoeuvre", "values", "sentence"), REFUSALS)
def test_a_ride_that_cannot_be_is_refused_with_its_reason(
    board: Board, manoeuvre: str, values: dict[str, Any], sentence: str
) -> None:
    press = values["press"]
    rest = {name: value for name, value in values.items() if name != "press"}
    page = board.press(press, manoeuvre, status=422, **rest)
    assert sentence in page.text
    assert not board.rides()


@pytest.mark.parametrize(
    ("speed", "source", "sentence"),
    [
        ("", "gate", "Write the speed, or choose Not measured."),
        ("50", "none", "Choose where the speed came from, or clear it."),
        ("50", "nonsense", "Choose where the speed came from."),
        ("fast", "gate", "Write a number"),
        ("nan", "gate", "Write a number"),
        ("inf", "gate", "Write a number"),
        ("1e999", "gate", "Write a number"),
    ],
)
def test_a_wrong_speed_is_said_beside_it(
    board: Board, speed: str, source: str, sentence: str
) -> None:
    page = board.press("clean", "emergency_stop", status=422, speed=speed, source=source)
    assert sentence in page.error_beside("speed")
    assert not board.rides()


@pytest.mark.parametrize(
    ("speed", "sentence"),
    [
        ("-1", "A speed lies between 0 and 150 km/h."),
        ("151", "A speed lies between 0 and 150 km/h."),
        ("49.96", "Write a speed with at most one decimal."),
    ],
)
def test_a_speed_that_cannot_be_is_refused(board: Board, speed: str, sentence: str) -> None:
    page = board.press("clean", "emergency_stop", status=422, speed=speed, source="gate")
    assert sentence in page.text
    assert not board.rides()


NOT_HERE = "That rider or manoeuvre is not on this board now. Nothing was recorded."


@pytest.mark.parametrize("field", ["rider", "variant"])
@pytest.mark.parametrize("value", [None, "", "x", "0", "-3", "999999", str(10**30)])
def test_a_rider_or_manoeuvre_that_is_not_here_is_refused_with_the_board_as_it_is(
    board: Board, field: str, value: str | None
) -> None:
    values = {"press": "clean", field: value}
    page = board.visitor.submit(board.open(), values, "/yard/sessions/", status=422)
    assert NOT_HERE in page.text
    assert not board.rides()


def test_a_ride_in_a_strangers_session_is_not_found(
    visit: Visit, board: Board, people: Cast
) -> None:
    page = visit("other_instructor").get("/yard")
    token = typed_values(page.form("/sign-out"))["csrf_token"][0]
    values = {"csrf_token": token, "press": "clean", "attempt_id": str(uuid4())}
    other = visit("other_instructor")
    other.post(f"/yard/sessions/{people.session}/rides", values, status=400)
    own = other.get("/yard")
    values["csrf_token"] = typed_values(own.form("/sign-out"))["csrf_token"][0]
    other.post(f"/yard/sessions/{people.session}/rides", values, status=404)
    assert not board.rides()


def test_a_student_who_gave_up_the_place_while_the_board_was_open_rides_no_more(
    board: Board, database: Database
) -> None:
    page = board.open()
    with database.writing() as session:
        session.execute(update(BookingRow).values(state=BookingState.NO_SHOW))
    answer = board.visitor.submit(page, {"press": "clean"}, "/yard/sessions/", status=422)
    assert "Nobody has a place in this session yet." in answer.text


def test_a_yard_closed_to_speed_while_the_board_was_open_keeps_no_run(
    board: Board, database: Database
) -> None:
    page = board.open("emergency_stop")
    with database.writing() as session:
        session.execute(update(YardRow).values(speed_run=False))
    answer = board.visitor.submit(page, {"press": "clean"}, "/yard/sessions/", status=422)
    assert NOT_HERE in answer.text
    assert not board.rides()


def test_the_rides_number_is_the_one_that_the_page_carried(board: Board) -> None:
    page = board.open()
    number = UUID(typed_values(page.form("/yard/sessions/"))["attempt_id"][0])
    board.visitor.submit(page, {"press": "clean"}, "/yard/sessions/")
    assert [ride.id for ride in board.rides()] == [number]
