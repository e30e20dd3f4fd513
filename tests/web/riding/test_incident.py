"""Writing down a near miss, a fall or an injury: three presses, then each refusal."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from sqlalchemy import select

from app.rules.riding.safety import IncidentKind
from app.store.database import Database
from app.store.riding.safety_tables import IncidentRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor, typed_values

Visit = Callable[..., Visitor]


@pytest.fixture
def ines(visit: Visit) -> Visitor:
    """The instructor."""
    return visit("instructor")


def path(people: Cast) -> str:
    return f"/yard/sessions/{people.session}/incident"


def kept(database: Database) -> list[IncidentRow]:
    with database.reading() as session:
        return list(session.scalars(select(IncidentRow)))


def write_down(ines: Visitor, people: Cast, status: int = 200, **values: object) -> Page:
    return ines.send(path(people), values, status=status)


def test_kind_and_rider_are_enough(ines: Visitor, people: Cast, database: Database) -> None:
    page = write_down(ines, people, kind="fall", rider=str(people.learner))
    assert "It is written down, and the owner is told." in page.text
    (row,) = kept(database)
    assert (row.kind, row.student_id, row.bike_id) == (
        IncidentKind.FALL,
        people.learner,
        people.bike,
    )
    assert row.recorded_by == people.instructor_account


def test_the_office_lists_it_until_the_owner_closes_it(
    ines: Visitor, visit: Visit, people: Cast
) -> None:
    write_down(ines, people, kind="injury", rider="none", note="A walker by the gate.")
    owner = visit("owner")
    page = owner.get("/office")
    for words in ("Someone is hurt", "none of the riders", "A walker by the gate.", "Ines Heron"):
        assert words in page.text
    page = owner.submit(page, action="/close")
    assert "Closed. It stays on file." in page.text
    assert "Someone is hurt" not in page.text


def test_the_same_page_sent_twice_is_kept_once(
    ines: Visitor, people: Cast, database: Database
) -> None:
    form = ines.get(path(people)).form()
    values = {name: value[0] for name, value in typed_values(form).items()}
    for _ in range(2):
        ines.post(path(people), values | {"kind": "near_miss", "rider": "none"})
    assert len(kept(database)) == 1


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"rider": "none"}, "Choose what happened."),
        ({"kind": "explosion", "rider": "none"}, "Choose one from the list."),
        ({"kind": "fall"}, "out of date"),
        ({"kind": "fall", "rider": "Lena"}, "out of date"),
        ({"kind": "fall", "rider": "99999"}, "no place in the session"),
        ({"kind": "fall", "rider": "none", "incident_id": "7"}, "out of date"),
        ({"kind": "fall", "rider": "none", "note": "x" * 501}, "at most 500"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_kept(
    ines: Visitor, people: Cast, database: Database, values: dict[str, str], sentence: str
) -> None:
    page = write_down(ines, people, 422, **values)
    assert sentence in page.text
    assert kept(database) == []


def test_what_was_typed_stays(ines: Visitor, people: Cast) -> None:
    page = write_down(ines, people, 422, rider="none", note="dog on the run-out")
    assert "dog on the run-out" in page.html


def test_only_the_owner_closes(ines: Visitor, visit: Visit, people: Cast) -> None:
    write_down(ines, people, kind="near_miss", rider="none")
    action = next(
        f.get("action") or "" for f in visit("owner").get("/office").forms()
        if "/close" in (f.get("action") or "")
    )  # fmt: skip
    values = {"csrf_token": typed_values(ines.get(path(people)).form())["csrf_token"][0]}
    ines.post(action, values, status=403)
