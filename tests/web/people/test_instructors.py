"""Instructors at the desk."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.store.database import Database
from app.store.people import reads
from tests.support.cast import Cast
from tests.support.client import Visitor

Visit = Callable[[str | None], Visitor]
NEW = "/instructors/new"


def test_an_instructor_is_added(visit: Visit) -> None:
    page = visit("desk").send(NEW, {"name": "Mab Costello"})
    assert "Mab Costello is on file." in page.text


@pytest.mark.parametrize("typed", ["", "  ", "42", "x" * 121])
def test_a_name_that_is_none_is_refused(visit: Visit, database: Database, typed: str) -> None:
    page = visit("desk").send(NEW, {"name": typed}, status=422)
    assert page.error_beside("name")
    with database.reading() as session:
        assert len(reads.instructors(session)) == 2


def test_a_form_sent_twice_adds_one_instructor(visit: Visit, database: Database) -> None:
    desk = visit("desk")
    page = desk.get(NEW)
    for _ in range(2):
        desk.submit(page, {"name": "Mab Costello"})
    with database.reading() as session:
        assert len(reads.instructors(session)) == 3


def test_one_who_stops_teaching_is_offered_no_new_sessions(visit: Visit, people: Cast) -> None:
    desk = visit("desk")
    page = desk.send("/instructors", action=f"/instructors/{people.instructor}/teaching")
    assert "They get no new sessions now." in page.text
    assert "Ines Heron" not in desk.get("/sessions/new").text
    again = desk.send("/instructors", action=f"/instructors/{people.instructor}/teaching")
    assert "They can be given sessions again." in again.text
