"""rebuild-standings and settle-results, as a person runs them."""

from __future__ import annotations

import pytest
from click.testing import CliRunner
from sqlalchemy import delete, update

from app.commands import cli
from app.rules.diary.values import TestResult
from app.store.database import Database
from app.store.progress.tables import LearnerRow, StandingRow
from tests.store.progress.kept import rows, same
from tests.store.progress.test_outlook import real_test
from tests.support.databases import furnish
from tests.support.riding import ride_often


@pytest.fixture(autouse=True)
def environment(monkeypatch: pytest.MonkeyPatch, url: str) -> None:
    """A server's environment over the test's own database."""
    monkeypatch.setenv("YARDMARK_DATABASE_URL", url)
    monkeypatch.setenv("YARDMARK_SECRET_KEY", "k" * 40)


def test_what_was_lost_or_spoilt_is_worked_out_again_from_the_rides(database: Database) -> None:
    ride_often(database, furnish(database), sessions=2, rides=4)
    before = rows(database)
    with database.writing() as session:
        session.execute(delete(LearnerRow))
        session.execute(update(StandingRow).values(rides=99, state={}))
    result = CliRunner().invoke(cli, ["rebuild-standings"])
    assert result.exit_code == 0, result.output
    assert result.output == "Worked out again: 2 students.\n"
    after = rows(database)
    assert before
    assert same(before, {key: row for key, row in after.items() if key in before})
    assert all(row["rides"] == 0 for key, row in after.items() if key not in before)


def test_real_results_are_settled_once(database: Database) -> None:
    who = furnish(database)
    ride_often(database, who, sessions=4, rides=3)
    real_test(database, who, 1, TestResult.PASS)
    said = [CliRunner().invoke(cli, ["settle-results"]).output for _ in range(2)]
    assert said == ["Settled: 1 real results.\n", "Settled: 0 real results.\n"]
