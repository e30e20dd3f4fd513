"""Yards and bikes at the desk."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from app.store.database import Database
from app.store.yards import reads
from tests.support.cast import Cast
from tests.support.client import Visitor

Visit = Callable[[str | None], Visitor]
YARD = {"name": "Quay yard", "length_m": "80", "width_m": "30.5", "places": "4"}
BIKE = {
    "label": "Bike 9",
    "registration": "qi25 abc",
    "category": "A2",
    "capacity_cc": "471",
    "power_kw": "35",
    "kerb_kg": "190",
}


def test_a_yard_is_added_with_its_sides(visit: Visit, database: Database) -> None:
    page = visit("desk").send("/yards/new", YARD | {"avoidance_left": None})
    assert "Quay yard is on file." in page.text
    assert "80 × 30.5" in page.text
    assert "right only" in page.text


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", "", "Write the yard's name."),
        ("name", "x" * 61, "Use at most 60 characters."),
        ("name", "Long yard", "There is a yard called Long yard already."),
        ("length_m", "", "Write the length in metres."),
        ("length_m", "long", "Write a number, such as 12.5."),
        ("length_m", "nan", "Write a number, such as 12.5."),
        ("width_m", "1e300", "Write a length from 1 to 2,000 metres."),
        ("places", "0", "A yard has at least one place."),
        ("places", "400", "The site has room for 21 at once"),
        ("remarks", "x" * 501, "Use at most 500 characters."),
    ],
)
def test_a_yard_that_cannot_be_is_refused_at_its_field(
    visit: Visit, database: Database, field: str, typed: str, sentence: str
) -> None:
    page = visit("desk").send("/yards/new", YARD | {field: typed}, status=422)
    assert sentence in page.error_beside(field)
    if field != "name":
        assert 'value="Quay yard"' in page.html
    with database.reading() as session:
        assert len(reads.yards(session)) == 2


def test_a_yard_is_changed_and_closed(visit: Visit, people: Cast) -> None:
    page = visit("desk").send(f"/yards/{people.yard}/edit", {"open": None, "places": "3"})
    assert "Long yard is kept." in page.text
    assert "Long yard (closed)" in page.text


def test_a_bike_is_added(visit: Visit) -> None:
    page = visit("desk").send("/bikes/new", BIKE)
    assert "Bike 9 QI25 ABC A2 471 cc 35 kW 190 kg yes" in page.text


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("label", "", "Write its name."),
        ("label", "Bike 1", "There is a Bike 1 already."),
        ("registration", "", "Write the registration."),
        ("registration", "qi21 aaa", "Another bike has this registration."),
        ("category", "B", "Choose one from the list."),
        ("capacity_cc", "12.5", "Write a whole number."),
        ("capacity_cc", "9" * 40, "Write from 1 to 3,000 cc."),
        ("power_kw", "-1", "Write from 0.1 to 250 kW."),
        ("kerb_kg", "heavy", "Write a whole number."),
    ],
)
def test_a_bike_that_cannot_be_is_refused_at_its_field(
    visit: Visit, database: Database, field: str, typed: str, sentence: str
) -> None:
    page = visit("desk").send("/bikes/new", BIKE | {field: typed}, status=422)
    assert sentence in page.error_beside(field)
    with database.reading() as session:
        assert len(reads.bikes(session)) == 2


def test_a_bike_goes_off_the_road_with_its_reason_and_comes_back(
    visit: Visit, people: Cast
) -> None:
    desk = visit("desk")
    path = f"/bikes/{people.bike}/off-road"
    assert "Write what is wrong" in desk.send(path, status=422).error_beside("reason")
    too_long = desk.send(path, {"reason": "x" * 201}, status=422)
    assert "at most 200 characters" in too_long.error_beside("reason")
    page = desk.send(path, {"reason": "Front lever bent"})
    assert "Off since Thu 26 Nov 2026, 09:00: Front lever bent" in page.text
    again = desk.submit(page, action=f"/bikes/{people.bike}/on-road")
    assert "The bike is back on the road." in again.text
    assert "Off since" not in again.text


def _submit_twice(desk: Visitor, path: str, values: dict[str, Any]) -> str:
    page = desk.get(path)
    desk.submit(page, values)
    return desk.submit(page, values, status=422).text


@pytest.mark.parametrize(
    ("path", "values"),
    [
        ("/yards/{yard}/edit", {"remarks": "A drain"}),
        ("/bikes/{bike}/edit", {"kerb_kg": "188"}),
        ("/bikes/{bike}/off-road", {"reason": "Flat tyre"}),
    ],
)
def test_a_stale_page_changes_nothing(
    visit: Visit, people: Cast, path: str, values: dict[str, Any]
) -> None:
    path = path.format(yard=people.yard, bike=people.bike)
    assert "Someone changed this" in _submit_twice(visit("desk"), path, values)


@pytest.mark.parametrize(("path", "values"), [("/yards/new", YARD), ("/bikes/new", BIKE)])
def test_a_form_sent_twice_adds_one(
    visit: Visit, database: Database, path: str, values: dict[str, Any]
) -> None:
    desk = visit("desk")
    page = desk.get(path)
    for _ in range(2):
        desk.submit(page, values)
    with database.reading() as session:
        assert len(reads.yards(session)) + len(reads.bikes(session)) == 5


@pytest.mark.parametrize("path", ["/yards/{}/edit", "/bikes/{}/edit", "/bikes/{}/off-road"])
@pytest.mark.parametrize("number", ["999", str(10**20), "x"])
def test_what_is_not_there_is_not_found(visit: Visit, path: str, number: str) -> None:
    visit("desk").get(path.format(number), status=404)
