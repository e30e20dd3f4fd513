"""The outbox at the desk: where each message stands, what it says, and what the desk decides."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from app.rules.posting import IN_HAND
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.diary.letter_truth import no_longer_so
from app.store.outbox import MessageRow, post
from app.store.post_office import Office, Round, send_owed
from tests.support.cast import Cast
from tests.support.client import Page, Visitor
from tests.support.clock import START
from tests.support.diary import add_session, book
from tests.support.letters import LENA, outbox, write_to
from tests.support.life import waits
from tests.support.mail_server import mail_server

Visit = Callable[[str | None], Visitor]
SUBJECT = "Booked: Module 1 training, Fri 27 Nov 2026, 09:00"


@pytest.fixture
def owed(database: Database, people: Cast) -> int:
    """A confirmation that waits for Lena; its id."""
    write_to(database, people.learner)
    book(database, add_session(database, people), people.learner, people.bike)
    return outbox(database)[0].id


def note(database: Database, message_id: int, **values: object) -> None:
    """Note something on a message, as a sender does."""
    with database.writing() as session:
        row = session.get_one(MessageRow, message_id)
        for name, value in values.items():
            setattr(row, name, value)


def rows(page: Page) -> list[str]:
    """The lines of the table."""
    return [" ".join("".join(tr.itertext()).split()) for tr in page.tree.iter("tr")][1:]


def test_it_says_plainly_that_no_mail_server_is_set(visit: Visit, owed: int) -> None:
    page = visit("desk").get("/messages")
    assert "No mail server is set, so no email leaves." in page.text
    assert f"{SUBJECT} waits" in page.text
    assert "Lena Wren" in page.text


def test_an_empty_outbox_says_so(visit: Visit, people: Cast) -> None:
    assert "There are no messages here." in visit("desk").get("/messages").text


def test_each_message_says_where_it_stands(
    visit: Visit, database: Database, people: Cast, owed: int
) -> None:
    stood: dict[str, dict[str, Any]] = {
        "sent Thu 26 Nov 2026, 09:00": {"sent_at": START},
        "refused": {"sent_at": None, "refused_at": START, "last_error": "550 Nobody here"},
        "not sent": {"refused_at": None, "dropped_at": START, "last_error": "It changed."},
        "waits, tried again Thu 26 Nov 2026, 09:05": {
            "dropped_at": None,
            "next_try_at": START + timedelta(minutes=5),
        },
        "being sent": {"claimed_at": START, "last_error": None},
        "may or may not have left": {"claimed_at": START - IN_HAND},
    }
    desk = visit("desk")
    for words, values in stood.items():
        note(database, owed, **values)
        [row] = rows(desk.get("/messages"))
        assert f"{SUBJECT} {words}" in row
        assert str(values.get("last_error") or "") in row


def test_it_is_filtered_by_state_and_counts_each(
    visit: Visit, database: Database, owed: int
) -> None:
    with database.writing() as session:
        post(session, "olive@example.org", "A new password", "https://secret", START)
    note(database, owed, refused_at=START, last_error="550 Nobody here")
    desk = visit("desk")
    page = desk.get("/messages?state=refused")
    assert [SUBJECT in row for row in rows(page)] == [True]
    assert "All 2" in page.text
    assert "Waits 1" in page.text
    assert "Refused 1" in page.text
    assert len(rows(desk.get("/messages?state=nonsense"))) == 2


def test_it_is_paged_newest_first(visit: Visit, database: Database, people: Cast) -> None:
    with database.writing() as session:
        for number in range(95):
            post(session, "nell@example.org", f"Letter {number:02}", "Hello", START)
    desk = visit("desk")
    first, last = desk.get("/messages"), desk.get("/messages?page=99")
    assert "Letter 94" in rows(first)[0]
    assert (len(rows(first)), len(rows(last))) == (40, 15)
    assert "Page 3 of 3" in last.text
    assert "page=2" in last.html


def test_a_message_is_shown_as_text_and_in_a_frame_of_its_own(visit: Visit, owed: int) -> None:
    page = visit("desk").get(f"/messages/{owed}")
    assert page.heading == SUBJECT
    assert "Hello Lena Wren, You have a place at" in page.text
    [frame] = page.tree.iter("iframe")
    assert (frame.get("src"), frame.get("sandbox")) == (f"/messages/{owed}/html", "")
    assert "frame-src 'self'" in page.response.headers["Content-Security-Policy"]


def test_the_frame_may_load_run_and_send_nothing(visit: Visit, owed: int) -> None:
    page = visit("desk").get(f"/messages/{owed}/html")
    policy = page.response.headers["Content-Security-Policy"].split("; ")
    assert policy[:2] == ["sandbox", "default-src 'none'"]
    assert "frame-ancestors 'self'" in policy
    assert page.response.headers["X-Frame-Options"] == "SAMEORIGIN"
    assert page.heading == SUBJECT


def test_a_message_about_an_account_does_not_give_its_link_away(
    visit: Visit, database: Database, people: Cast
) -> None:
    """Else the desk could read the owner's link and take the account over."""
    with database.writing() as session:
        post(session, "olive@example.org", "A new password", "https://a/link/secret", START)
    [row] = outbox(database)
    desk = visit("desk")
    page = desk.get(f"/messages/{row.id}")
    assert "secret" not in page.html
    assert "may carry a link that opens it" in page.text
    desk.get(f"/messages/{row.id}/html", status=404)


@pytest.mark.parametrize("who", ["instructor", "learner"])
def test_only_the_desk_sees_it(visit: Visit, owed: int, who: str) -> None:
    visitor = visit(who)
    for path in ("/messages", f"/messages/{owed}", f"/messages/{owed}/html"):
        visitor.get(path, status=403)


def test_the_desk_decides_that_an_unknown_one_goes_again(
    visit: Visit, database: Database, owed: int
) -> None:
    with mail_server() as (postbox, smtp):
        office = Office(smtp, "school@example.org")
        postbox.hang_up = "data"
        done = send_owed(database, office, START, no_longer_so)
        assert replace(done, trouble="") == Round(unknown=1)
        desk = visit("desk")
        assert "Sent again, it may come twice." in desk.get(f"/messages/{owed}").text
        page = desk.send(f"/messages/{owed}", action="again")
        assert "The message will be sent again." in page.text
        postbox.hang_up = ""
        assert send_owed(database, office, START, no_longer_so) == Round(sent=1)
    assert [m["Subject"] for m in postbox.messages] == [SUBJECT]
    with database.reading() as session:
        told = session.scalars(select(AuditEntryRow.action).order_by(AuditEntryRow.id.desc()))
        assert told.first() == "sent again"


def test_a_refused_one_goes_again_to_the_address_on_file_then(
    visit: Visit, database: Database, people: Cast, owed: int
) -> None:
    with mail_server() as (postbox, smtp):
        office = Office(smtp, "school@example.org")
        postbox.to_recipient = "550 5.1.1 Nobody here"
        send_owed(database, office, START, no_longer_so)
        write_to(database, people.learner, "lena.new@example.org")
        visit("desk").send(f"/messages/{owed}", action="again")
        postbox.to_recipient = "250 Yes"
        send_owed(database, office, START, no_longer_so)
    assert postbox.recipients == ["lena.new@example.org"]


def test_a_message_is_left_at_that(visit: Visit, database: Database, owed: int) -> None:
    note(database, owed, refused_at=START, last_error="550 Nobody here")
    desk = visit("desk")
    assert "1 email not delivered" in desk.get("/desk").text
    page = desk.send(f"/messages/{owed}", action="leave")
    assert "not sent" in page.text
    assert "The desk left it at that. 550 Nobody here" in page.text
    assert "not delivered" not in desk.get("/desk").text


@pytest.mark.parametrize("action", ["again", "leave"])
def test_a_message_that_was_sent_meanwhile_is_not_decided_about(
    visit: Visit, database: Database, owed: int, action: str
) -> None:
    note(database, owed, refused_at=START)
    desk = visit("desk")
    page = desk.get(f"/messages/{owed}")
    note(database, owed, refused_at=None, sent_at=START)
    answer = desk.submit(page, action=action, status=409)
    assert "Look again." in answer.text
    assert outbox(database)[0].sent_at == START


def test_the_card_shows_the_last_messages_and_that_an_address_bounces(
    visit: Visit, database: Database, people: Cast, owed: int
) -> None:
    desk = visit("desk")
    page = desk.get(f"/students/{people.learner}")
    assert f"{SUBJECT} : waits" in page.text or f"{SUBJECT}: waits" in page.text
    note(database, owed, refused_at=START, last_error="The mail server does not take it: 550")
    said = f"Email to {LENA} comes back. The mail server does not take it: 550"
    assert said in desk.get(f"/students/{people.learner}").text
    write_to(database, people.learner, "lena.new@example.org")
    assert "comes back" not in desk.get(f"/students/{people.learner}").text


def test_a_booking_shows_before_it_is_made_what_it_will_send(
    visit: Visit, database: Database, people: Cast
) -> None:
    write_to(database, people.learner)
    training = add_session(database, people)
    desk = visit("desk")
    page = desk.get(f"/sessions/{training}/book/{people.learner}")
    [link] = [
        a.get("href") or "" for a in page.tree.iter("a") if "/message" in (a.get("href") or "")
    ]
    shown = desk.get(link)
    assert f"Subject {SUBJECT}" in shown.text
    assert "Bike: Bike 1" in shown.text
    assert outbox(database) == []
    write_to(database, people.learner, None)
    assert "There is no email on file for them, so nothing is sent." in desk.get(link).text


@pytest.mark.parametrize("bike", ["-1", "x", "99999", str(2**70)])
def test_a_preview_with_no_bike_of_ours_is_for_their_own(
    visit: Visit, database: Database, people: Cast, bike: str
) -> None:
    training = add_session(database, people)
    path = f"/sessions/{training}/book/{people.learner}/message?bike={bike}"
    assert "Bike: your own bike" in visit("desk").get(path).text


def test_a_booking_at_the_desk_is_told_at_once(
    app: Flask, database: Database, people: Cast
) -> None:
    write_to(database, people.learner)
    training = add_session(database, people)
    with mail_server() as (postbox, smtp):
        app.extensions["yardmark_config"] = replace(
            app.extensions["yardmark_config"], smtp=smtp, mail_from="school@example.org"
        )
        desk = Visitor(app).sign_in("desk")
        desk.send(f"/sessions/{training}/book/{people.learner}")
        assert postbox.arrived.wait(10)
    assert postbox.messages[0]["Subject"] == SUBJECT
    assert postbox.messages[0]["List-Unsubscribe"] == "<http://localhost/mine/messages>"


def test_a_place_in_a_new_session_is_offered_at_once(
    app: Flask, database: Database, people: Cast
) -> None:
    write_to(database, people.learner)
    waits(database, people.learner)
    assert not outbox(database)
    with mail_server() as (postbox, smtp):
        app.extensions["yardmark_config"] = replace(
            app.extensions["yardmark_config"], smtp=smtp, mail_from="school@example.org"
        )
        Visitor(app).sign_in("desk").send("/sessions/new?on=2026-11-27&at=09:00&until=11:00")
        assert postbox.arrived.wait(10)
    assert postbox.messages[0]["Subject"].startswith("A free place, held until")


def test_a_cancelled_session_says_whom_email_does_not_reach(
    app: Flask, database: Database, people: Cast
) -> None:
    write_to(database, people.learner)
    training = add_session(database, people)
    book(database, training, people.learner, people.bike)
    with mail_server() as (postbox, smtp):
        app.extensions["yardmark_config"] = replace(
            app.extensions["yardmark_config"], smtp=smtp, mail_from="school@example.org"
        )
        page = Visitor(app).sign_in("desk").send(f"/sessions/{training}/cancel")
        assert "those with an email on file are written to, ring the others." in page.text
        assert postbox.arrived.wait(10)
    assert postbox.messages[0]["Subject"].startswith("Cancelled: Module 1 training")
