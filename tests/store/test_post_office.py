"""Owed email reaches a real mail server, each message at most once."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import select

from app.config import Smtp
from app.store import outbox
from app.store.database import Database
from app.store.outbox import MessageRow
from app.store.post_office import CannotSend, Round, send_owed, stuck
from tests.support.clock import START
from tests.support.mail_server import Postbox, mail_server

SENDER = "school@example.org"


@pytest.fixture
def server() -> Iterator[tuple[Postbox, Smtp]]:
    """A running mail server."""
    with mail_server() as running:
        yield running


def owe(school: Database, count: int = 1) -> None:
    with school.writing() as session:
        for number in range(count):
            outbox.post(
                session, f"nell{number}@example.org", f"Grüße {number}", "A line.\n\nÄnd on.", START
            )


def rows(school: Database) -> list[MessageRow]:
    with school.reading() as session:
        return list(session.scalars(select(MessageRow).order_by(MessageRow.id)))


def test_a_message_arrives_as_it_was_written(
    either: Database, server: tuple[Postbox, Smtp]
) -> None:
    postbox, smtp = server
    owe(either)
    assert send_owed(either, smtp, SENDER, START) == Round(sent=1)
    [message] = postbox.messages
    assert (message["To"], message["From"]) == ("nell0@example.org", SENDER)
    assert message["Subject"] == "Grüße 0"
    assert message.get_content().replace("\r\n", "\n") == "A line.\n\nÄnd on.\n"
    assert rows(either)[0].sent_at == START


def test_what_is_sent_is_not_sent_again(either: Database, server: tuple[Postbox, Smtp]) -> None:
    postbox, smtp = server
    owe(either)
    send_owed(either, smtp, SENDER, START)
    assert send_owed(either, smtp, SENDER, START) == Round()
    assert len(postbox.messages) == 1


def test_two_senders_at_once_send_each_message_once(
    either: Database, server: tuple[Postbox, Smtp]
) -> None:
    postbox, smtp = server
    owe(either, 12)
    with ThreadPoolExecutor(3) as pool:
        rounds = list(pool.map(lambda _: send_owed(either, smtp, SENDER, START), range(3)))
    assert sum(done.sent for done in rounds) == 12
    assert len({message["To"] for message in postbox.messages}) == 12
    assert len(postbox.messages) == 12


def test_a_refused_message_waits_for_the_next_round(
    either: Database, server: tuple[Postbox, Smtp]
) -> None:
    postbox, smtp = server
    owe(either)
    postbox.answer = "451 Try later"
    assert send_owed(either, smtp, SENDER, START) == Round(refused=1)
    assert "Try later" in (rows(either)[0].last_error or "")
    postbox.answer = "250 Kept"
    assert send_owed(either, smtp, SENDER, START) == Round(sent=1)
    assert len(postbox.messages) == 1


def test_a_message_refused_ten_times_is_given_up(
    either: Database, server: tuple[Postbox, Smtp]
) -> None:
    postbox, smtp = server
    owe(either)
    postbox.answer = "550 Nobody here"
    rounds = [send_owed(either, smtp, SENDER, START) for _ in range(11)]
    assert [done.refused for done in rounds] == [1] * 10 + [0]


def test_a_line_that_breaks_leaves_the_message_claimed_and_counted(
    either: Database, server: tuple[Postbox, Smtp]
) -> None:
    postbox, smtp = server
    owe(either, 2)
    postbox.hang_up = True
    assert send_owed(either, smtp, SENDER, START) == Round(unknown=1)
    postbox.hang_up = False
    assert send_owed(either, smtp, SENDER, START) == Round(sent=1)
    assert [message["To"] for message in postbox.messages] == ["nell1@example.org"]
    assert stuck(either) == 1


def test_without_a_server_nothing_is_claimed(either: Database) -> None:
    owe(either)
    with mail_server() as (_, gone):
        pass
    with pytest.raises(CannotSend, match="says"):
        send_owed(either, gone, SENDER, START)
    assert (rows(either)[0].tries, stuck(either)) == (0, 0)
