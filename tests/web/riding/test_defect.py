"""Reporting a bike from the yard: a tick and a press, then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.store.database import Database
from app.store.yards.tables import BikeRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor

Visit = Callable[..., Visitor]


@pytest.fixture
def ines(visit: Visit) -> Visitor:
    """The instructor."""
    return visit("instructor")


def report(ines: Visitor, people: Cast, status: int = 200, **values: object) -> Page:
    return ines.send(f"/yard/sessions/{people.session}/defect", values, status=status)


def reason(database: Database, bike_id: int) -> str | None:
    with database.reading() as session:
        return session.get_one(BikeRow, bike_id).off_road_reason


def test_the_board_the_desk_and_the_bike_say_so(
    ines: Visitor, visit: Visit, people: Cast, database: Database
) -> None:
    page = report(ines, people, what=["Brakes", "Chain"], bike=str(people.bike))
    assert "off the road until the desk clears it" in page.text
    assert "Lena Wren: Bike 1 is off the road (Brakes, Chain). Use another." in page.text
    assert reason(database, people.bike) == "Brakes, Chain"
    desk = visit("desk")
    home = desk.get("/desk")
    assert "Reported from the yard by Ines Heron." in home.text
    desk.send("/bikes", action=f"/bikes/{people.bike}/on-road")
    assert "Reported from the yard" not in desk.get("/desk").text
    board = ines.get(f"/yard/sessions/{people.session}")
    assert "off the road" not in board.text


def test_a_bike_that_nobody_here_has_can_be_reported_too(
    ines: Visitor, people: Cast, database: Database
) -> None:
    report(ines, people, more="Oil under it.", bike=str(people.other_bike))
    assert reason(database, people.other_bike) == "Oil under it."


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"bike": "1"}, "Choose what is wrong with it."),
        ({"bike": "1", "what": "made up"}, "Choose what is wrong with it."),
        ({"what": "Brakes"}, "Press the bike that it is."),
        ({"what": "Brakes", "bike": "one"}, "Press the bike that it is."),
        ({"bike": "1", "more": "x" * 101}, "at most 100"),
    ],
)
def test_what_is_wrong_is_said_and_no_bike_is_taken_off(
    ines: Visitor, people: Cast, database: Database, values: dict[str, str], sentence: str
) -> None:
    page = report(ines, people, 422, **values)
    assert sentence in page.text
    assert reason(database, people.bike) is None


def test_a_bike_that_is_not_there_is_not_found(ines: Visitor, people: Cast) -> None:
    report(ines, people, 404, what="Brakes", bike="99999")
