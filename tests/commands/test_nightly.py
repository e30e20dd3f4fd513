"""estimate-school and nightly, as a person and a timer run them."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing

import pytest
from click.testing import CliRunner, Result
from sqlalchemy import select

from app.commands import cli
from app.rules.diary.values import TestResult
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.outbox import post
from app.store.progress.tables import SchoolFigureRow
from tests.store.progress.test_outlook import real_test
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.crowd import crowd, ridden
from tests.support.riding import variant


@pytest.fixture(autouse=True)
def environment(monkeypatch: pytest.MonkeyPatch, url: str) -> None:
    """A server's environment over the test's own database."""
    monkeypatch.setenv("YARDMARK_DATABASE_URL", url)
    monkeypatch.setenv("YARDMARK_SECRET_KEY", "k" * 40)
    monkeypatch.delenv("YARDMARK_SMTP_URL", raising=False)


def run(*words: str) -> Result:
    """Run a command."""
    return CliRunner().invoke(cli, words)


def figures(database: Database) -> dict[int, float]:
    """The figures that are kept."""
    with database.reading() as session:
        return {row.variant_id: row.ease for row in session.scalars(select(SchoolFigureRow))}


def test_a_small_school_is_told_what_is_missing(database: Database, people: Cast) -> None:
    result = run("estimate-school")
    assert result.exit_code == 1
    assert "There are 0 rides of 0 students so far. From 200 rides" in result.output


def test_a_trial_shows_everything_and_keeps_nothing(database: Database, people: Cast) -> None:
    crowd(database, people, students=12, rides=20)
    result = run("estimate-school", "--dry-run")
    assert result.exit_code == 0, result.output
    assert "From 240 rides of 12 students." in result.output
    assert "clearly harder than thought" in result.output
    assert "Log loss on students left out, a fifth at a time" in result.output
    assert result.output.endswith("This was a trial: nothing is kept.\n")
    assert figures(database) == {}


def test_what_changed_is_shown_and_kept(database: Database, people: Cast) -> None:
    crowd(database, people, students=12, rides=20)
    result = run("estimate-school")
    assert "Of 48 standings" in result.output
    assert result.output.endswith("Kept. Worked out again: 14 students.\n")
    assert len(figures(database)) == 4
    assert "Nothing changes" in run("estimate-school").output


def test_figures_that_predict_less_well_are_not_kept(database: Database, people: Cast) -> None:
    codes = ("slalom", "figure_of_8", "slow_ride", "u_turn", "park")
    variants = [variant(database, code) for code in codes]
    clean = [[n % 5 == student % 5 for n in range(20)] for student in range(20)]
    ridden(database, people, variants, clean)
    result = run("estimate-school")
    assert result.exit_code == 0
    assert "The new ones predict less well, so those so far stay." in result.output
    assert "Kept" not in result.output
    assert figures(database) == {}
    assert "left as they are, since new ones would predict less well" in run("nightly").output


def test_a_night_does_everything_once(database: Database, people: Cast) -> None:
    ids = crowd(database, people, students=12, rides=20)
    real_test(database, people, 1, TestResult.PASS)
    first, kept = run("nightly"), figures(database)
    assert first.exit_code == 0, first.output
    assert "Real results: 0 results settled." in first.output
    assert "The school's figures: kept anew. Of 48 standings" in first.output
    assert "Email: no mail server is set" in first.output
    assert len(ids) == 12
    audited = entries(database)
    second = run("nightly")
    assert "The school's figures: nothing changes." in second.output
    assert (figures(database), entries(database)) == (kept, audited)


def entries(database: Database) -> int:
    """How many entries the audit has."""
    with database.reading() as session:
        return len(session.scalars(select(AuditEntryRow)).all())


def test_a_small_school_has_a_quiet_night(database: Database, people: Cast) -> None:
    result = run("nightly")
    assert result.exit_code == 0
    assert "The school's figures: left as they are. There are 0 rides" in result.output


@pytest.fixture
def deaf() -> Iterator[int]:
    """A port on which nobody listens."""
    with closing(socket.socket()) as held:
        held.bind(("127.0.0.1", 0))
        yield held.getsockname()[1]


def test_one_job_that_fails_does_not_keep_the_others_from_being_done(
    database: Database, people: Cast, deaf: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    crowd(database, people, students=12, rides=20)
    with database.writing() as session:
        post(session, "lena@example.org", "Hello", "A message.", START)
    monkeypatch.setenv("YARDMARK_SMTP_URL", f"smtp://127.0.0.1:{deaf}")
    monkeypatch.setenv("YARDMARK_MAIL_FROM", "school@example.org")
    result = run("nightly")
    assert result.exit_code == 1
    assert "Email: failed." in result.output
    assert "Not done tonight: Email." in result.output
    assert figures(database)


@pytest.mark.slow
@pytest.mark.parametrize("command", ["nightly", "estimate-school"])
def test_it_runs_by_itself_in_a_process_of_its_own(
    database: Database, people: Cast, command: str
) -> None:
    crowd(database, people, students=12, rides=20)
    done = subprocess.run(
        [sys.executable, "-m", "app", command],
        env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert len(figures(database)) == 4
