"""Rides that a tablet saved to a file, taken in at the desk."""

from __future__ import annotations

import json
from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from sqlalchemy import select

from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.riding.tables import AttemptRow
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.clock import Clock
from tests.web.riding.tablet import Sent, Tablet

Visit = Callable[[str | None], Visitor]
PATH = "/desk/rides-file"


@pytest.fixture
def tablet(visit: Visit, database: Database, people: Cast, clock: Clock) -> Tablet:
    """Ines's tablet."""
    return Tablet(visit("instructor"), database, people, clock)


@pytest.fixture
def desk(visit: Visit) -> Visitor:
    """The desk."""
    return visit("desk")


def saved_file(tablet: Tablet, *items: Sent, account: int | None = None) -> bytes:
    who = tablet.people.instructor_account if account is None else account
    rides = [{"account": who, "name": "Ines Heron", "item": item} for item in items]
    clock = tablet.clock().isoformat()
    sent = {"yardmark_rides": 1, "tablet": tablet.id, "clock": clock, "rides": rides}
    return json.dumps(sent).encode()


def look(desk: Visitor, text: bytes, status: int = 200) -> Page:
    return desk.send(PATH, {"file": (BytesIO(text), "rides.json")}, PATH, status)


def take_in(desk: Visitor, seen: Page) -> Page:
    return desk.submit(seen, action="/take-in")


def kept(db: Database) -> list[AttemptRow]:
    with db.reading() as session:
        return list(session.scalars(select(AttemptRow)))


def test_a_file_is_looked_at_before_anything_is_kept(
    desk: Visitor, tablet: Tablet, database: Database
) -> None:
    seen = look(desk, saved_file(tablet, tablet.ride()))
    assert "Thu 26 Nov 2026, 09:00: Lena Wren, Slalom" in seen.text
    assert "recorded by Ines Heron" in seen.text
    assert kept(database) == []


def test_its_rides_are_kept_as_their_instructors_and_the_audit_says_how(
    desk: Visitor, tablet: Tablet, database: Database, people: Cast
) -> None:
    ride = tablet.ride()
    text = saved_file(tablet, tablet.strike(ride), ride)
    assert "2 new, 0 there already" in take_in(desk, look(desk, text)).text
    (row,) = kept(database)
    assert (row.recorded_by, row.struck_reason) == (
        people.instructor_account, "Taken back at once",
    )  # fmt: skip
    with database.reading() as session:
        action = AuditEntryRow.action == "took in a rides file"
        assert session.scalars(select(AuditEntryRow.account_id).where(action)).one() == people.desk


def test_a_file_taken_in_twice_counts_once(
    desk: Visitor, tablet: Tablet, database: Database
) -> None:
    ride = tablet.ride()
    tablet.send(ride)
    seen = look(desk, saved_file(tablet, ride))
    assert "here already" in seen.text
    assert "0 new, 1 there already" in take_in(desk, seen).text
    assert len(kept(database)) == 1


def test_what_an_instructor_could_not_record_is_refused_with_the_reason(
    desk: Visitor, tablet: Tablet, database: Database, people: Cast
) -> None:
    strange = tablet.ride(session=people.other_session, student=people.stranger)
    page = take_in(desk, look(desk, saved_file(tablet, tablet.ride(), strange)))
    assert "1 ride: This session is another instructor's." in page.text
    assert len(kept(database)) == 1


def test_only_an_instructor_can_have_recorded(
    desk: Visitor, tablet: Tablet, database: Database, people: Cast
) -> None:
    text = saved_file(tablet, tablet.ride(), account=people.desk)
    page = take_in(desk, look(desk, text))
    assert "no instructor's here" in page.text
    assert kept(database) == []


WRONG: list[Any] = [b"", b"{", b"[]", b"[" * 50_000, b"\xff\xfe", b'{"yardmark_rides": 1}',
    b'{"yardmark_rides": 1, "rides": [5]}',
    b'{"yardmark_rides": 1, "rides": [{"account": true, "name": "A"}]}',
    b'{"yardmark_rides": 1, "rides": [{"account": 3, "name": "A", "item": 5}]}',
    b"x" * 300_000,
]  # fmt: skip


@pytest.mark.parametrize("text", WRONG, ids=lambda text: repr(text[:40]))
def test_any_other_file_is_refused_in_a_sentence(
    desk: Visitor, database: Database, text: bytes
) -> None:
    page = look(desk, text, status=422)
    assert page.error_beside("file").endswith(".")
    assert kept(database) == []
