"""Owed email reaches a real mail server, each message at most once."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime, timedelta
from threading import Barrier

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.config import Smtp
from app.store import outbox
from app.store.database import Database
from app.store.outbox import MessageRow
from app.store.post_office import CannotSend, Office, Round, send_owed, stuck, waiting
from tests.support.clock import START
from tests.support.mail_server import Postbox, mail_server

SENDER = "school@example.org"
Running = tuple[Postbox, Office]


@pytest.fixture
def server() -> Iterator[Running]:
    """A running mail server."""
    with mail_server() as (postbox, smtp):
        yield postbox, Office(smtp, SENDER)


def owe(school: Database, count: int = 1) -> None:
    with school.writing() as session:
        for number in range(count):
            outbox.post(
                session, f"nell{number}@example.org", f"Grüße {number}", "A line.\n\nÄnd on.", START
            )


def rows(school: Database) -> list[MessageRow]:
    with school.reading() as session:
        return list(session.scalars(select(MessageRow).order_by(MessageRow.id)))


def test_a_message_arrives_as_it_was_written(either: Database, server: Running) -> None:
    postbox, office = server
    owe(either)
    assert send_owed(either, office, START) == Round(sent=1)
    [message] = postbox.messages
    assert postbox.recipients == ["nell0@example.org"]
    assert (message["To"], message["From"].addresses[0].addr_spec) == ("nell0@example.org", SENDER)
    assert message["Subject"] == "Grüße 0"
    assert message.get_content().replace("\r\n", "\n") == "A line.\n\nÄnd on.\n"
    assert rows(either)[0].sent_at == START


def test_what_is_sent_is_not_sent_again(either: Database, server: Running) -> None:
    postbox, office = server
    owe(either)
    send_owed(either, office, START)
    assert send_owed(either, office, START) == Round()
    assert len(postbox.messages) == 1


def test_two_senders_at_once_send_each_message_once(either: Database, server: Running) -> None:
    postbox, office = server
    owe(either, 12)
    together = Barrier(3)

    def sender(_number: int) -> Round:
        together.wait()
        return send_owed(either, office, START)

    with ThreadPoolExecutor(3) as pool:
        rounds = list(pool.map(sender, range(3)))
    assert sum(done.sent for done in rounds) == 12
    assert len({message["To"] for message in postbox.messages}) == 12
    assert len(postbox.messages) == 12


def test_a_message_put_off_waits_longer_each_time(either: Database, server: Running) -> None:
    postbox, office = server
    owe(either)
    postbox.answer = "451 Try later"
    now, pauses = START, []
    for _ in range(9):
        assert send_owed(either, office, now) == Round(put_off=1)
        [row] = rows(either)
        assert row.next_try_at is not None
        assert "451 Try later" in (row.last_error or "")
        assert send_owed(either, office, row.next_try_at - timedelta(seconds=1)) == Round()
        pauses.append((row.next_try_at - now) / timedelta(minutes=1))
        now = row.next_try_at
    assert pauses == [5, 10, 20, 40, 80, 160, 240, 240, 240]
    postbox.answer = "250 Kept"
    assert send_owed(either, office, now) == Round(sent=1)
    assert len(postbox.messages) == 1


def test_a_message_put_off_for_five_days_is_given_up(either: Database, server: Running) -> None:
    """RFC 5321, 4.5.4.1: a sender goes on for at least four to five days."""
    postbox, office = server
    owe(either)
    postbox.to_recipient = "450 The mailbox is busy"
    assert send_owed(either, office, START + timedelta(days=4, hours=23)) == Round(put_off=1)
    late = START + timedelta(days=6)
    assert send_owed(either, office, late) == Round(refused=1)
    assert send_owed(either, office, late + timedelta(days=1)) == Round()
    [row] = rows(either)
    assert (row.refused_at, row.claimed_at) == (late, None)
    assert "450 The mailbox is busy" in (row.last_error or "")


@pytest.mark.parametrize("step", ["to_recipient", "answer"])
def test_a_message_refused_for_good_is_not_tried_again(
    either: Database, server: Running, step: str
) -> None:
    """RFC 5321, 4.2.1: a 5yz answer is a no for good."""
    postbox, office = server
    owe(either, 2)
    setattr(postbox, step, "550 5.1.1 Nobody\x20here")
    assert send_owed(either, office, START) == Round(refused=2)
    setattr(postbox, step, "250 Kept")
    assert send_owed(either, office, START + timedelta(days=1)) == Round()
    assert [row.refused_at for row in rows(either)] == [START, START]
    assert "550 5.1.1 Nobody here" in (rows(either)[0].last_error or "")
    assert postbox.messages == []


def test_one_bad_address_does_not_hold_up_the_others(either: Database, server: Running) -> None:
    postbox, office = server
    with either.writing() as session:
        for recipient in ("a@b@c", "x\r\nBcc: y@example.org", "", "nell@example.org"):
            outbox.post(session, recipient, "Hello", "Hello", START)
    assert send_owed(either, office, START) == Round(sent=1, refused=3)
    assert postbox.recipients == ["nell@example.org"]
    assert all("is not an email address." in (row.last_error or "") for row in rows(either)[:3])


def test_a_line_that_breaks_leaves_the_message_claimed_and_counted(
    either: Database, server: Running
) -> None:
    postbox, office = server
    owe(either, 2)
    postbox.hang_up = "data"
    done = send_owed(either, office, START)
    assert replace(done, trouble="") == Round(unknown=1)
    assert "The line broke while this was handed over" in done.trouble
    postbox.hang_up = ""
    assert send_owed(either, office, START) == Round(sent=1)
    assert [message["To"] for message in postbox.messages] == ["nell1@example.org"]
    assert (stuck(either, START), waiting(either)) == (1, 0)


def test_a_server_that_kept_a_message_and_died_gets_it_only_once(
    either: Database, server: Running
) -> None:
    """RFC 1047 describes how a lost answer makes two messages of one."""
    postbox, office = server
    owe(either)
    postbox.hang_up, postbox.keeps = "data", True
    assert send_owed(either, office, START).unknown == 1
    postbox.hang_up = ""
    for days in range(4):
        assert send_owed(either, office, START + timedelta(days=days)) == Round()
    assert len(postbox.messages) == 1


@pytest.mark.parametrize("step", ["mail", "rcpt"])
def test_a_line_that_breaks_before_the_text_loses_nothing(
    either: Database, server: Running, step: str
) -> None:
    postbox, office = server
    owe(either, 2)
    postbox.hang_up = step
    done = send_owed(either, office, START)
    assert (replace(done, trouble=""), bool(done.trouble)) == (Round(), True)
    assert [(row.claimed_at, row.tries) for row in rows(either)] == [(None, 0)] * 2
    postbox.hang_up = ""
    assert send_owed(either, office, START) == Round(sent=2)


def test_a_server_that_takes_nothing_from_the_school_marks_no_message(
    either: Database, server: Running
) -> None:
    postbox, office = server
    owe(either)
    postbox.to_sender = "550 Not from you"
    assert "550 Not from you" in send_owed(either, office, START).trouble
    assert (rows(either)[0].refused_at, waiting(either)) == (None, 1)


def test_a_sender_that_is_no_address_marks_no_message(either: Database, server: Running) -> None:
    _, office = server
    owe(either)
    with pytest.raises(CannotSend, match="YARDMARK_MAIL_FROM"):
        send_owed(either, replace(office, sender="the desk"), START)
    assert (rows(either)[0].tries, waiting(either)) == (0, 1)


def test_a_dead_server_loses_nothing_and_one_that_lives_again_gets_all(either: Database) -> None:
    owe(either, 3)
    with mail_server() as (_, gone):
        pass
    office = Office(gone, SENDER)
    for hours in range(200):
        with pytest.raises(CannotSend, match="says"):
            send_owed(either, office, START + timedelta(hours=hours))
    assert [row.tries for row in rows(either)] == [0, 0, 0]
    with mail_server(port=gone.port) as (postbox, _):
        assert send_owed(either, office, START + timedelta(days=9)) == Round(sent=3)
    assert len(postbox.messages) == 3


def test_a_claim_that_nobody_reported_is_unknown_after_a_quarter_of_an_hour(
    either: Database, server: Running
) -> None:
    """As after a crash of the sender between handing in and noting it down."""
    _, office = server
    owe(either)
    with either.writing() as session:
        session.scalars(select(MessageRow)).one().claimed_at = START
    assert send_owed(either, office, START + timedelta(days=1)) == Round()
    assert stuck(either, START + timedelta(minutes=14)) == 0
    assert stuck(either, START + timedelta(minutes=15)) == 1


def test_what_no_longer_holds_is_dropped_with_its_reason(either: Database, server: Running) -> None:
    postbox, office = server
    owe(either, 2)

    def check(_session: Session, message: MessageRow, _now: datetime) -> str | None:
        return "It is over." if message.recipient.startswith("nell0") else None

    assert send_owed(either, office, START, check) == Round(sent=1, dropped=1)
    [dropped, _] = rows(either)
    assert (dropped.dropped_at, dropped.last_error) == (START, "It is over.")
    assert send_owed(either, office, START) == Round()
    assert postbox.recipients == ["nell1@example.org"]


def test_an_address_in_another_script_goes_where_the_server_takes_it(either: Database) -> None:
    """RFC 6531 for what stands before the @, IDNA (RFC 5891) for the domain."""
    with either.writing() as session:
        for recipient in ("nell@straße.example.org", "zoë@example.org"):
            outbox.post(session, recipient, "Hello", "Hello", START)
    with mail_server(utf8=False) as (postbox, smtp):
        assert send_owed(either, Office(smtp, SENDER), START) == Round(sent=1, refused=1)
        assert postbox.recipients == ["nell@xn--strae-oqa.example.org"]
    assert "before the @" in (rows(either)[1].last_error or "")
    with either.writing() as session:
        outbox.post(session, "zoë@example.org", "Grüße", "Hello", START)
    with mail_server() as (postbox, smtp):
        assert send_owed(either, Office(smtp, SENDER), START) == Round(sent=1)
        assert postbox.recipients == ["zoë@example.org"]
        assert "zoë@example.org".encode() in postbox.raw[0]


def test_without_a_server_nothing_is_claimed(either: Database) -> None:
    owe(either)
    with pytest.raises(CannotSend, match="says"):
        send_owed(either, Office(Smtp("127.0.0.1", 9, "none", None, None), SENDER), START)
    assert (rows(either)[0].tries, stuck(either, START), waiting(either)) == (0, 0, 1)
