"""Which email a student gets: their own choice, and the desk's on request."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.rules.people.messages import MESSAGE_WORDS, MessageKind
from app.store.database import Database
from app.store.people.choices import wanted_kinds
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.letters import LENA, write_to

Visit = Callable[[str | None], Visitor]


def ticked(page: Page) -> set[str]:
    """The boxes that are ticked."""
    boxes = [node for node in page.tree.iter("input") if node.get("type") == "checkbox"]
    return {box.get("name") or "" for box in boxes if box.get("checked") is not None}


def wanted(database: Database, student_id: int) -> set[MessageKind]:
    """What is kept."""
    with database.reading() as session:
        return set(wanted_kinds(session, student_id))


def test_a_student_gets_every_kind_until_they_say_otherwise(visit: Visit, people: Cast) -> None:
    page = visit("learner").get("/mine/messages")
    assert ticked(page) == set(MessageKind)
    assert all(words in page.text for words in MESSAGE_WORDS.values())


def test_a_student_chooses_on_their_own_page(
    visit: Visit, database: Database, people: Cast
) -> None:
    lena = visit("learner")
    assert "Which emails you get" in lena.get("/mine").text
    page = lena.send("/mine/messages", {"reminder": None, "offer": None})
    assert "Your choice is kept." in page.text
    assert wanted(database, people.learner) == {
        MessageKind.CONFIRMATION,
        MessageKind.CHANGE,
        MessageKind.CANCELLATION,
    }
    assert ticked(page) == {"confirmation", "change", "cancellation"}
    assert wanted(database, people.stranger) == set(MessageKind)
    lena.send("/mine/messages", {"reminder": "y"})
    assert MessageKind.REMINDER in wanted(database, people.learner)


def test_the_page_says_where_email_goes(visit: Visit, database: Database, people: Cast) -> None:
    lena = visit("learner")
    assert "has no email of yours on file" in lena.get("/mine/messages").text
    write_to(database, people.learner)
    assert f"They go to {LENA}." in lena.get("/mine/messages").text


def test_the_desk_chooses_for_a_student_who_asks(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    none: dict[str, None] = dict.fromkeys(MessageKind)
    page = desk.send(f"/students/{people.learner}/messages", none)
    assert "The choice is kept." in page.text
    assert wanted(database, people.learner) == set()


@pytest.mark.parametrize("who", ["instructor", "learner"])
def test_nobody_else_chooses_for_a_student(visit: Visit, people: Cast, who: str) -> None:
    visit(who).get(f"/students/{people.learner}/messages", status=403)


def test_there_is_no_page_for_a_student_who_is_not_there(visit: Visit, people: Cast) -> None:
    visit("desk").get("/students/999/messages", status=404)
