"""The safety check and the conditions: it works, then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.store.database import Database
from app.store.riding.around import Around, load_around
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.clock import Clock
from tests.support.queries import counted

Visit = Callable[..., Visitor]


@pytest.fixture
def ivor(visit: Visit) -> Visitor:
    """The instructor whose session has had no check yet."""
    return visit("other_instructor")


def around(database: Database, session_id: int) -> Around:
    with database.reading() as session:
        return load_around(session, session_id, None)


def board(people: Cast) -> str:
    return f"/yard/sessions/{people.other_session}"


def check(visitor: Visitor, people: Cast, status: int = 200, **values: object) -> Page:
    return visitor.send(f"{board(people)}/safety", values, status=status)


def test_the_first_ride_is_refused_with_a_sentence_and_a_link(ivor: Visitor, people: Cast) -> None:
    page = ivor.send(board(people), {"press": "clean"}, f"{board(people)}/rides", status=422)
    assert "Do the safety check of this session before its first ride." in page.text
    links = [link.get("href") or "" for link in page.tree.iter("a")]
    assert any(f"{board(people)}/safety" in link for link in links)
    assert "Nothing to take back" in page.text


def test_after_the_check_the_ride_is_kept(
    ivor: Visitor, people: Cast, database: Database, clock: Clock
) -> None:
    page = check(ivor, people, surface="wet", wind="windy")
    assert "The safety check is kept." in page.text
    assert "wet, windy" in page.text
    assert "Safety check before the first ride" not in page.text
    assert "confirmed 09:00" in page.text
    found = around(database, people.other_session)
    assert (found.checked_at, found.checked_by) == (clock(), "Ivor Plover")
    page = ivor.send(board(people), {"press": "clean"}, f"{board(people)}/rides")
    assert "Take back" in page.text


def test_the_page_says_how_many_may_ride_at_once(ivor: Visitor, people: Cast) -> None:
    page = ivor.get(f"{board(people)}/safety")
    assert "At most 4 riders at once, as many as one instructor may have." in page.text
    assert "hi-vis" in page.text


def test_it_is_confirmed_once_and_then_only_read(ivor: Visitor, people: Cast) -> None:
    check(ivor, people, surface="dry")
    page = ivor.get(f"{board(people)}/safety")
    assert "Confirmed at 09:00 by Ivor Plover." in page.text
    assert "I have checked" not in page.text


@pytest.mark.parametrize("surface", [None, "icy"])
def test_without_a_surface_nothing_is_confirmed(
    ivor: Visitor, people: Cast, database: Database, surface: str | None
) -> None:
    page = check(ivor, people, 422, surface=surface)
    assert page.error_beside("surface")
    assert page.html.index('id="surface-error"') < page.html.index('id="surface-0"')
    assert around(database, people.other_session).checked_at is None


def test_not_before_the_day(ivor: Visitor, people: Cast, database: Database, clock: Clock) -> None:
    clock.forward(days=-1)
    page = check(ivor, people, 422, surface="dry")
    assert "later day" in page.text
    assert around(database, people.other_session).checked_at is None


def test_conditions_are_set_from_the_board_and_stand_on_it(
    visit: Visit, people: Cast, database: Database
) -> None:
    ines, path = visit("instructor"), f"/yard/sessions/{people.session}/conditions"
    page = ines.send(path, {"surface": "damp", "wind": "calm", "remark": "leaves"})
    assert "damp, leaves" in page.text
    page = ines.get(path)
    assert [n.get("value") for n in page.tree.iter("input") if n.get("checked") is not None] == [
        "damp",
        "calm",
    ]
    page = ines.send(path, {"remark": "x" * 101}, status=422)
    assert "at most 100" in page.error_beside("remark")
    assert around(database, people.session).conditions.words == "damp, leaves"


def test_a_colleagues_session_is_not_there(visit: Visit, people: Cast) -> None:
    ines = visit("instructor")
    for screen in ("safety", "conditions"):
        ines.get(f"{board(people)}/{screen}", status=404)


@pytest.mark.parametrize("screen", ["safety", "conditions", "incident", "defect"])
def test_each_small_screen_asks_little(
    visit: Visit, people: Cast, app_database: Database, screen: str
) -> None:
    ines, path = visit("instructor"), f"/yard/sessions/{people.session}/{screen}"
    with counted(app_database) as statements:
        ines.get(path)
    assert len(statements) <= 5, statements
