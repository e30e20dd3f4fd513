"""What a program without any sign-in is answered at a calendar's address."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, time, timedelta
from uuid import uuid4

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app import create_app
from app.config import Config
from app.rules.diary.feeds import FeedOwner
from app.store.database import Database
from app.store.diary import feed_writes
from tests.support import diary
from tests.support.calendars import events_in
from tests.support.cast import Cast
from tests.support.client import Visitor
from tests.support.clock import START, Clock


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """A reader of calendars: it keeps no cookie."""
    return app.test_client(use_cookies=False)


@pytest.fixture
def address(database: Database, people: Cast) -> str:
    """Lena's calendar."""
    return made(database, FeedOwner(student_id=people.learner))


def made(database: Database, owner: FeedOwner) -> str:
    secret = feed_writes.make_feed(database, diary.DESK, owner, uuid4(), START).secret
    return f"/calendars/{secret}.ics"


def test_a_calendar_is_read_without_signing_in(client: FlaskClient, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="sessions.ics"'
    assert answer.headers["Cache-Control"] == "private, no-cache"
    assert "Set-Cookie" not in answer.headers
    (event,) = events_in(answer.data)
    assert (event.starts_at, event.ends_at) == (
        START - timedelta(hours=1),
        START + timedelta(hours=2),
    )
    assert event.summary == "Module 1 training, My riding school"
    assert "Bike 1" in event.description


def test_asking_for_the_headers_alone(client: FlaskClient, address: str) -> None:
    head, whole = client.head(address), client.get(address)
    assert (head.status_code, head.data) == (200, b"")
    for name in ("Content-Type", "ETag", "Content-Length"):
        assert head.headers[name] == whole.headers[name]


def test_who_has_it_already_is_not_sent_it_again(
    client: FlaskClient, address: str, clock: Clock
) -> None:
    clock.forward(minutes=5)
    first = client.get(address)
    clock.forward(minutes=5)
    again = client.get(address, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    by_date = client.get(address, headers={"If-Modified-Since": first.headers["Last-Modified"]})
    assert by_date.status_code == 304


def test_a_change_is_sent_at_once(
    client: FlaskClient, address: str, clock: Clock, database: Database, people: Cast
) -> None:
    clock.forward(minutes=5)
    first = client.get(address)
    headers = {"If-None-Match": first.headers["ETag"]}
    old_date = {"If-Modified-Since": first.headers["Last-Modified"]}
    clock.forward(minutes=5)
    training = diary.add_session(database, people)
    diary.book(database, training, people.learner, people.bike, clock())
    clock.forward(minutes=5)
    for asked in (headers, old_date):
        answer = client.get(address, headers=asked)
        assert answer.status_code == 200
        assert len(events_in(answer.data)) == 2


def test_a_change_within_a_second_has_no_date_yet(client: FlaskClient, address: str) -> None:
    assert "Last-Modified" not in client.get(address).headers


def test_an_ended_address_says_so(
    client: FlaskClient, address: str, database: Database, people: Cast
) -> None:
    tag = client.get(address).headers["ETag"]
    owner = FeedOwner(student_id=people.learner)
    feed_writes.revoke_feed(database, diary.DESK, owner, START)
    for answer in (client.get(address), client.get(address, headers={"If-None-Match": tag})):
        assert answer.status_code == 410
        assert answer.text == (
            "This calendar address has been ended. Ask the school for a new one.\n"
        )
        assert answer.headers["Content-Type"] == "text/plain; charset=utf-8"
        assert answer.headers["Cache-Control"] == "no-store"
    assert client.head(address).status_code == 410


@pytest.mark.parametrize(
    "name", ["made-up", "x" * 5000, "%00", "%FF%FE", "%F0%9F%8F%8D", "..%2f", "' OR 1=1"]
)
def test_an_address_that_never_was(client: FlaskClient, people: Cast, name: str) -> None:
    answer = client.get(f"/calendars/{name}.ics")
    assert answer.status_code == 404
    if "%2f" not in name:  # a slash ends the name, so that there is no such screen
        assert (
            answer.text == "There is no calendar at this address. Ask the school for a new one.\n"
        )


def test_nothing_can_be_sent_to_a_calendar(client: FlaskClient, address: str) -> None:
    assert client.post(address).status_code in (400, 405)
    assert client.put(address).status_code in (400, 405)


def test_a_change_of_the_schools_clock_is_in_the_calendar(
    client: FlaskClient, database: Database, people: Cast
) -> None:
    training = diary.add_session(
        database, people, day=date(2027, 3, 28), starts=time(0, 30), ends=time(3, 30)
    )
    answer = client.get(made(database, FeedOwner(instructor_id=people.instructor)))
    kept = next(row for row in diary.sessions_kept(database) if row.id == training)
    assert (kept.starts_at, kept.ends_at) in [
        (event.starts_at, event.ends_at) for event in events_in(answer.data)
    ]


@pytest.fixture
def guarded(url: str, clock: Clock, people: Cast) -> Iterator[Flask]:
    """The app with its limits on, as a server has them."""
    app = create_app(Config(database_url=url, secret_key="k" * 40, clock=clock))
    yield app
    app.extensions["yardmark_database"].close()


def test_guessing_is_stopped_and_reading_is_not(guarded: Flask, address: str) -> None:
    client = guarded.test_client()
    for number in range(40):
        client.get(address)
        assert client.get(f"/calendars/guess-{number}.ics").status_code == 404
    assert client.get("/calendars/one-more.ics").status_code == 429
    assert "Try again in" in Visitor(guarded).get(address, status=429).text


def test_one_address_is_not_asked_for_without_end(guarded: Flask, address: str) -> None:
    client = guarded.test_client()
    statuses = [client.get(address).status_code for _ in range(61)]
    assert statuses == [200] * 60 + [429]
