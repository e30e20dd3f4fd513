"""send, as a person and a timer run it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from click.testing import CliRunner
from sqlalchemy import select

from app.commands import cli
from app.rules.diary.values import BookingState, SessionKind
from app.rules.diary.waiting import WaitingWish
from app.store import outbox
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.diary.waiting_writes import wait_in
from app.store.outbox import MessageRow
from app.store.people.tables import StudentRow
from tests.support.cast import Cast
from tests.support.diary import DESK, add_students
from tests.support.letters import coming
from tests.support.mail_server import mail_server


@pytest.fixture(autouse=True)
def environment(monkeypatch: pytest.MonkeyPatch, url: str) -> None:
    """A server's environment over the test's own database."""
    monkeypatch.setenv("YARDMARK_DATABASE_URL", url)
    monkeypatch.setenv("YARDMARK_SECRET_KEY", "k" * 40)
    monkeypatch.delenv("YARDMARK_SMTP_URL", raising=False)


def run() -> tuple[int, str]:
    """Run the command; its exit code and what it said."""
    result = CliRunner().invoke(cli, ["send"])
    return result.exit_code, result.output


def owe(database: Database) -> None:
    """One message that waits."""
    with database.writing() as session:
        outbox.post(session, "nell@example.org", "Hello", "Hello", datetime.now(UTC))


def test_owed_email_is_sent(monkeypatch: pytest.MonkeyPatch, database: Database) -> None:
    owe(database)
    with mail_server() as (postbox, smtp):
        monkeypatch.setenv("YARDMARK_SMTP_URL", f"smtp://127.0.0.1:{smtp.port}")
        assert run() == (0, "1 message sent.\n")
        assert run() == (0, "0 messages sent.\n")
    assert len(postbox.messages) == 1


def test_reminders_are_written_and_sent_in_one_go(
    monkeypatch: pytest.MonkeyPatch, database: Database, people: Cast
) -> None:
    soon = datetime.now(UTC) + timedelta(minutes=90)
    [rider] = add_students(database, 1, email="rider@example.org")
    coming(database, people, soon, student_id=rider)
    with database.writing() as session:  # so that the link to their own page is there
        session.get_one(StudentRow, rider).account_id = people.desk
    with mail_server() as (postbox, smtp):
        monkeypatch.setenv("YARDMARK_SMTP_URL", f"smtp://127.0.0.1:{smtp.port}")
        monkeypatch.setenv("YARDMARK_BASE_URL", "https://school.example.org/")
        assert run() == (0, "1 reminder written, 1 message sent.\n")
        assert run() == (0, "0 messages sent.\n")
    [message] = postbox.messages
    assert message["List-Unsubscribe"] == "<https://school.example.org/mine/messages>"


def test_a_hold_whose_time_is_over_ends_and_its_place_is_offered(
    monkeypatch: pytest.MonkeyPatch, database: Database, people: Cast
) -> None:
    now = datetime.now(UTC)
    holder, waiter = add_students(database, 2, email="rider@example.org")
    made = coming(database, people, now + timedelta(days=3), BookingState.HELD, student_id=holder)
    with database.writing() as session:
        held = session.get_one(BookingRow, made)
        held.held_until = now - timedelta(minutes=1)
        session.get_one(SessionRow, held.session_id).places = 1
    wish = WaitingWish(
        student_id=waiter,
        kind=SessionKind.MODULE_1,
        earliest=now.date(),
        latest=now.date() + timedelta(days=6),
        own_bike=True,
    )
    with database.writing() as session:
        wait_in(session, DESK, wish, now)
    with mail_server() as (postbox, smtp):
        monkeypatch.setenv("YARDMARK_SMTP_URL", f"smtp://127.0.0.1:{smtp.port}")
        assert run() == (0, "1 hold ended, 1 free place offered, 1 message sent.\n")
        assert run() == (0, "0 messages sent.\n")
    assert postbox.messages[0]["Subject"].startswith("A free place, held until")


def test_without_a_mail_server_set_it_says_so_and_loses_nothing(database: Database) -> None:
    owe(database)
    code, said = run()
    assert code == 1
    assert "No mail server is set: set YARDMARK_SMTP_URL. 1 message waits." in said
    with database.reading() as session:
        assert session.scalars(select(MessageRow)).one().claimed_at is None


def test_a_dead_server_makes_the_exit_code_1(
    monkeypatch: pytest.MonkeyPatch, database: Database
) -> None:
    owe(database)
    monkeypatch.setenv("YARDMARK_SMTP_URL", "smtp://127.0.0.1:9")
    code, said = run()
    assert code == 1
    assert "The mail server 127.0.0.1:9 says:" in said
    assert "1 message waits." in said


def test_what_became_of_each_is_said(monkeypatch: pytest.MonkeyPatch, database: Database) -> None:
    owe(database)
    owe(database)
    with mail_server() as (postbox, smtp):
        monkeypatch.setenv("YARDMARK_SMTP_URL", f"smtp://127.0.0.1:{smtp.port}")
        postbox.to_recipient = "550 Nobody here"
        assert run() == (0, "0 messages sent, 2 refused.\n")
        owe(database)
        postbox.to_recipient, postbox.hang_up = "250 Yes", "data"
        code, said = run()
    assert code == 1
    assert "1 message may or may not have left; see Messages at the desk." in said
    assert "The line broke while this was handed over" in said
