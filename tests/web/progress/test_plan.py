"""Practice plans: drawn up, changed by the instructor, then each refusal."""

from __future__ import annotations

import re
from collections.abc import Callable
from urllib.parse import urlencode

import pytest
from flask import Flask

from app.rules.diary.values import Surface
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.yards.tables import YardRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.queries import counted
from tests.support.riding import ride_often, variant

Visit = Callable[..., Visitor]


@pytest.fixture
def start(visit: Visit, database: Database, people: Cast) -> tuple[Visitor, Page]:
    """Ines before a plan for Lena, who has ridden."""
    ride_often(database, people, sessions=3, rides=4)
    ines = visit("instructor")
    return ines, ines.get(f"/students/{people.learner}/plan?minutes=90")


def blocks(page: Page) -> list[str]:
    """The blocks in their order, without the pins."""
    plan = next(node for node in page.tree.iter("ol") if node.get("class") == "plan")
    heads = ["".join(node.itertext()) for node in plan.iter("h2")]
    return [head.replace(" (pinned)", "").split(",")[0] for head in heads]


def follow(visitor: Visitor, page: Page, words: str, number: int = 0) -> Page:
    """Follow the link with these words of one block, numbered from 0 among such links."""
    found = [a for a in page.tree.iter("a") if "".join(a.itertext()).startswith(words)]
    return visitor.get(found[number].get("href") or "")


def test_a_plan_for_a_student_says_what_why_and_with_which_care(
    start: tuple[Visitor, Page],
) -> None:
    _, page = start
    assert page.heading == "Practice plan"
    assert len(blocks(page)) > 2
    for words in (
        "Lena Wren; Long yard.",
        "of 90 minutes planned",
        "For Lena Wren, ",
        "Take care:",
        "A plan is advice. The instructor decides what is ridden",
        "They are no promise.",
    ):
        assert words in page.text


def test_blocks_are_moved_and_the_numbers_follow(start: tuple[Visitor, Page]) -> None:
    visitor, page = start
    before = blocks(page)
    moved = follow(visitor, page, "Later")
    assert blocks(moved) == [before[1], before[0], *before[2:]]
    assert "do=" not in moved.path
    assert blocks(follow(visitor, moved, "Earlier")) == before


def test_a_pinned_block_stays_when_the_plan_is_filled_up(start: tuple[Visitor, Page]) -> None:
    visitor, page = start
    last = len(blocks(page)) - 1
    pinned = follow(visitor, page, "Pin", last)
    assert pinned.text.count("(pinned)") == 1
    filled = follow(visitor, follow(visitor, pinned, "Drop"), "Fill up")
    assert filled.text.count("(pinned)") == 1
    assert blocks(page)[last] in blocks(filled)
    assert "(pinned)" not in follow(visitor, filled, "Let go").text


def test_a_dropped_block_is_not_planned_again_until_it_is_allowed(
    start: tuple[Visitor, Page],
) -> None:
    visitor, page = start
    gone = blocks(page)[0]
    dropped = follow(visitor, follow(visitor, page, "Drop"), "Fill up")
    assert gone not in blocks(dropped)
    assert f"Dropped: {gone}" in dropped.text
    allowed = follow(visitor, dropped, f"allow {gone} again")
    assert "Dropped:" not in allowed.text


def put_in(visitor: Visitor, page: Page, **chosen: object) -> Page:
    """Send the form that puts a block in, as the page has it but for what is chosen."""
    form = next(node for node in page.tree.iter("form") if "narrow" in (node.get("class") or ""))
    fields: dict[str, object] = {
        node.get("name", ""): node.get("value") for node in form.iter("input")
    }
    for box in form.iter("select"):
        given = [one for one in box.iter("option") if one.get("selected") is not None]
        fields[box.get("name", "")] = (given or list(box.iter("option")))[0].get("value")
    assert set(chosen) <= set(fields)
    return visitor.get(f"{form.get('action')}?{urlencode(fields | chosen)}")


def test_a_block_of_ones_own_is_put_in_and_pinned(
    start: tuple[Visitor, Page], database: Database
) -> None:
    visitor, page = start
    slalom = variant(database, "slalom")
    first = put_in(visitor, page, variant=slalom, rounds=3, place=0)
    assert blocks(first)[0] == "Slalom"
    assert "Slalom, 3 rounds" in first.text
    assert first.text.count("(pinned)") == 1
    assert "do=" not in first.path
    assert "minutes=90" in first.path
    last = put_in(visitor, first, variant=variant(database, "park"), rounds=1)
    assert blocks(last)[0] == "Slalom"
    assert blocks(last)[-1] == "Park in the bay"
    assert blocks(last)[1:-1] == blocks(first)[1 : len(blocks(last)) - 1]


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        ({"variant": 999}, "That cannot be ridden here today."),
        ({"variant": "x"}, "That cannot be ridden here today."),
        ({"rounds": 0}, "A block has at least one round."),
    ],
)
def test_a_block_that_cannot_be_put_in_is_refused_and_the_plan_stays(
    start: tuple[Visitor, Page], chosen: dict[str, object], words: str
) -> None:
    visitor, page = start
    asked = put_in(visitor, page, **chosen)
    assert words in asked.text
    assert blocks(asked) == blocks(page)


def test_blocks_of_ones_own_that_take_too_long_are_refused(
    start: tuple[Visitor, Page], database: Database
) -> None:
    visitor, page = start
    for code in ("park", "figure_of_8", "wheel"):
        before, page = page, put_in(visitor, page, variant=variant(database, code), rounds=99)
    assert "The pinned blocks take longer than there is time." in page.text
    assert blocks(page) == blocks(before)
    assert before.path.count("x20p") == 2


def test_on_a_wet_surface_runs_at_speed_are_put_off_and_come_with_a_caution(
    visit: Visit, database: Database, people: Cast
) -> None:
    ride_often(database, people, sessions=3, rides=4)
    with database.writing() as session:
        session.get_one(SessionRow, people.session).surface = Surface.WET
    visitor = visit("instructor")
    page = visitor.get(f"/progress/sessions/{people.session}/plan")
    assert "The surface is wet: stopping takes at least twice as long" in page.text
    assert "Put off to a drier day: Controlled stop; Emergency stop; Hazard" in page.text
    assert not {"Controlled stop", "Emergency stop"} & set(blocks(page))
    assert "a run at speed only if the instructor judges so" not in page.text
    stop = put_in(visitor, page, variant=variant(database, "controlled_stop"), place=1)
    assert blocks(stop)[1] == "Controlled stop"
    assert "a run at speed only if the instructor judges so" in stop.text
    assert "Put off to a drier day: Emergency stop;" in stop.text


def test_a_change_that_cannot_be_is_refused_and_the_plan_stays(
    start: tuple[Visitor, Page], people: Cast
) -> None:
    visitor, page = start
    kept = follow(visitor, page, "Pin")
    asked = visitor.get(f"{kept.path}&do=up&place=0")
    assert "The plan has changed: there is no such block in it." in asked.text
    assert blocks(asked) == blocks(kept)


def test_the_riders_of_a_session_share_one_plan(
    visit: Visit, database: Database, people: Cast
) -> None:
    ride_often(database, people, sessions=2, rides=3)
    visitor = visit("owner")
    flags = visitor.get(f"/progress/flags?where={people.session}")
    page = follow(visitor, flags, "Plan this session")
    assert "Lena Wren; Long yard, Thu 26 Nov 2026, 08:00." in page.text
    assert "of 180 minutes planned" in page.text


def test_what_may_no_longer_be_ridden_is_said_and_planned_anew(
    start: tuple[Visitor, Page], database: Database, people: Cast
) -> None:
    visitor, page = start
    kept = follow(visitor, page, "Pin")
    for row in ("speed_run", "avoidance_left"):
        with database.writing() as session:
            setattr(session.get_one(YardRow, people.yard), row, False)
    asked = visitor.get(re.sub(r"blocks=[^&]*", "blocks=999x2", kept.path))
    assert "That cannot be ridden here today." in asked.text
    assert "Hazard avoidance" not in " ".join(blocks(asked))


@pytest.mark.parametrize("asked", ["minutes=5000", "blocks=x", "do=burn&place=x", "dropped=x.y"])
def test_what_is_asked_for_in_vain_changes_nothing(
    start: tuple[Visitor, Page], people: Cast, asked: str
) -> None:
    visitor, _ = start
    plain = visitor.get(f"/students/{people.learner}/plan")
    assert blocks(visitor.get(f"/students/{people.learner}/plan?{asked}")) == blocks(plain)


def test_nobody_booked_is_said(visit: Visit, database: Database, people: Cast) -> None:
    with database.writing() as session:
        session.delete(session.get_one(BookingRow, people.booking))
    page = visit("desk").get(f"/progress/sessions/{people.session}/plan")
    assert "Nothing is planned" in page.text


def test_a_student_may_not_see_it(visit: Visit, people: Cast) -> None:
    for path in (f"/students/{people.learner}/plan", f"/progress/sessions/{people.session}/plan"):
        visit("learner").get(path, status=403)


def test_who_and_what_is_not_there_is_not_found(visit: Visit) -> None:
    visitor = visit("desk")
    visitor.get("/students/999/plan", status=404)
    visitor.get("/progress/sessions/999/plan", status=404)


def test_its_queries_do_not_grow(
    visit: Visit, app: Flask, database: Database, people: Cast
) -> None:
    visitor = visit("instructor")
    numbers = []
    for _ in range(2):
        ride_often(database, people, sessions=2, rides=3)
        with counted(app.extensions["yardmark_database"]) as seen:
            visitor.get(f"/students/{people.learner}/plan")
        numbers.append(len(seen))
    assert numbers[0] == numbers[1] <= 27
