"""``python3 -m app test``: what it runs, what it finds, and how it ends."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.door import suite, tools
from app.door.arguments import RunTests, parse
from tests.door.house import House


def test_the_checks_come_first_and_pytest_last() -> None:
    names = [step.name for step in suite.steps(RunTests())]
    assert names[:3] == ["ruff check", "ruff format", "mypy"]
    assert names[-1] == "pytest"


def test_fast_leaves_out_the_slow_and_the_browser() -> None:
    words = suite.steps(RunTests(fast=True))[-1].words
    assert words[words.index("-m") + 1] == "not slow and not browser"


def test_a_narrowed_run_is_only_pytest() -> None:
    order = parse(["test", "-k", "faults", "--", "-x", "tests/rules"])
    assert isinstance(order, RunTests)
    assert [step.words for step in suite.steps(order)] == [
        ("pytest", "-k", "faults", "-x", "tests/rules")
    ]


def _server_programs(folder: Path) -> Path:
    folder.mkdir(parents=True)
    for name in ("initdb", "pg_ctl", "postgres"):
        (folder / name).touch()
    return folder


def test_the_newest_postgresql_is_chosen_by_number(tmp_path: Path) -> None:
    _server_programs(tmp_path / "9.6" / "bin")
    newest = _server_programs(tmp_path / "15" / "bin")
    assert tools.find_postgres(tmp_path) == str(newest)


def test_a_postgresql_without_its_server_is_passed_over(tmp_path: Path) -> None:
    whole = _server_programs(tmp_path / "14" / "bin")
    (_server_programs(tmp_path / "15" / "bin") / "postgres").unlink()
    assert tools.find_postgres(tmp_path) == str(whole)


def test_what_the_environment_names_is_taken() -> None:
    found = tools.gather({"YARDMARK_PG_BIN": "/some/bin"}, wanted=(tools.POSTGRES,))
    assert found == tools.Found({"YARDMARK_PG_BIN": "/some/bin"}, ())


@pytest.mark.slow
def test_failed_checks_give_a_line_each_and_a_failing_exit_code(ready: House) -> None:
    """In this house no checker is installed, so every check fails, and all are still tried."""
    ready.env["YARDMARK_PG_BIN"] = str(ready.folder)
    done = ready.run("test", "--fast")
    assert done.returncode == 1
    rows = done.stdout.splitlines()[-5:]
    names = ["ruff check", "ruff format", "mypy", "pytest, fast"]
    assert [row.split("  ")[0] for row in rows[:4]] == names
    assert all("FAILED" in row for row in rows[:4])
    assert rows[4].endswith("No module named pytest")


@pytest.mark.slow
def test_under_ci_a_missing_browser_fails(ready: House, tmp_path: Path) -> None:
    """Without a search path nothing is found, and nothing can be installed either."""
    ready.env |= {"CI": "true", "PATH": str(tmp_path), "YARDMARK_PG_BIN": str(ready.folder)}
    done = ready.run("test")
    assert done.returncode == 1
    assert "There is no apt-get here" in done.stdout
    assert "Without Chromium, the tests in a browser are skipped." in done.stdout
    assert "Chromium is missing     FAILED" in done.stdout
