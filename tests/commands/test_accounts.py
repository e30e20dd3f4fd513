"""create-owner, as a person runs it."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from app.commands import cli
from app.store.accounts import writes
from app.store.accounts.writes import Browser
from app.store.database import Database
from tests.support.clock import START

NEW = "copper kettle winter lane"


@pytest.fixture(autouse=True)
def environment(monkeypatch: pytest.MonkeyPatch, url: str) -> None:
    """A server's environment over the test's own database."""
    monkeypatch.setenv("YARDMARK_DATABASE_URL", url)
    monkeypatch.setenv("YARDMARK_SECRET_KEY", "k" * 40)


def run(*arguments: str, typed: str = "") -> tuple[int, str]:
    result = CliRunner().invoke(cli, arguments, input=typed)
    return result.exit_code, result.output


def test_the_first_owner_is_asked_for_and_can_sign_in(database: Database) -> None:
    code, said = run("create-owner", typed=f"Tess@example.org\nTess Knot\n{NEW}\n{NEW}\n")
    assert code == 0, said
    assert "Tess Knot can now sign in as tess@example.org." in said
    assert NEW not in said
    assert writes.sign_in(database, Browser("x"), "tess@example.org", NEW, START)


def test_a_taken_email_is_refused_plainly(database: Database) -> None:
    arguments = ("create-owner", "--email", "tess@example.org", "--name", "T", "--password", NEW)
    assert run(*arguments)[0] == 0
    code, said = run(*arguments)
    assert code == 1
    assert "Someone signs in with this email already" in said


@pytest.mark.parametrize(
    ("email", "name", "password", "sentence"),
    [
        ("tess", "Tess", NEW, "not an email address"),
        ("tess@example.org", " ", NEW, "1 to 100"),
        ("tess@example.org", "Tess", "short", "at least 15"),
    ],
)
def test_what_cannot_be_used_is_said(
    database: Database, email: str, name: str, password: str, sentence: str
) -> None:
    code, said = run("create-owner", "--email", email, "--name", name, "--password", password)
    assert code != 0
    assert sentence in said


def test_a_database_of_another_release_is_refused(
    monkeypatch: pytest.MonkeyPatch, sqlite_factory: object
) -> None:
    monkeypatch.setenv("YARDMARK_DATABASE_URL", sqlite_factory.empty())  # type: ignore[attr-defined]
    code, said = run("create-owner", "--email", "a@example.org", "--name", "A", "--password", NEW)
    assert code == 1
    assert "migrate" in said
