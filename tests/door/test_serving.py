"""Serving for real: a process with a database of its own, spoken to over the network."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.door.house import ROOT, closed_port, listening

_RUN = """\
import sys
from app.commands.inner import run
from app.door.entry import plainly
sys.exit(plainly(lambda: run(sys.argv[1:])))
"""


@dataclass
class Server:
    """A way to start servers on one SQLite database."""

    database: Path
    port: int

    def start(self, *words: str, **env: str) -> subprocess.Popen[str]:
        """Start a server; ``env`` adds to its environment."""
        own = {
            "YARDMARK_DATABASE_URL": f"sqlite:///{self.database}",
            "YARDMARK_SECRET_KEY": "s" * 40,
        }
        return subprocess.Popen(
            [sys.executable, "-c", _RUN, "--port", str(self.port), *words],
            cwd=ROOT,
            env={**os.environ, **own, **env},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL) and None,
        )

    @contextmanager
    def serving(self, *words: str) -> Iterator[list[str]]:
        """A server that answers; gives the lines it printed, and stops it with Ctrl-C."""
        process = self.start(*words)
        try:
            yield _opening_lines(process)
            process.send_signal(signal.SIGINT)
            _, complained = process.communicate(timeout=30)
            assert (process.returncode, complained.splitlines()[-1]) == (130, "Stopped.")
        finally:
            process.kill()
            process.wait()

    def ended(self, *words: str, **env: str) -> tuple[int, str]:
        """Run a server that is expected to end by itself: exit code and complaint."""
        process = self.start(*words, **env)
        _, complained = process.communicate(timeout=60)
        return process.returncode, complained

    def get(self, path: str) -> tuple[int, str]:
        """Status and text of a page, redirections followed."""
        with urllib.request.urlopen(f"http://127.0.0.1:{self.port}{path}", timeout=10) as answer:
            return answer.status, answer.read().decode()

    def dump(self) -> list[str]:
        """The whole database as text."""
        with closing(sqlite3.connect(self.database)) as connection:
            return list(connection.iterdump())


def _opening_lines(process: subprocess.Popen[str]) -> list[str]:
    assert process.stdout is not None
    lines = []
    for line in process.stdout:
        lines.append(line.rstrip())
        if line.startswith("Yardmark is at"):
            return lines
    raise AssertionError(process.communicate()[1])


@pytest.fixture
def server(tmp_path: Path) -> Server:
    """A server that has not been started, on a database that does not exist."""
    return Server(tmp_path / "school.db", closed_port())


def test_an_empty_school_is_served_and_a_second_start_changes_nothing(server: Server) -> None:
    with server.serving("--empty") as lines:
        assert lines == [f"Yardmark is at http://127.0.0.1:{server.port}/  (Ctrl-C stops it)"]
        assert server.get("/")[0] == 200
    before = server.dump()
    with server.serving("--empty"):
        assert server.get("/")[0] == 200
    assert server.dump() == before


@pytest.mark.slow
def test_the_demo_is_loaded_once_and_refused_in_production(server: Server) -> None:
    with server.serving() as lines:
        assert lines[0].startswith("The database is empty: loading the demo school")
    before = server.dump()
    with server.serving() as lines:
        assert len(lines) == 1
    assert server.dump() == before
    code, complained = server.ended(YARDMARK_MODE="production")
    assert code == 1
    assert complained.startswith("This database holds the demo school")


def test_a_port_taken_is_named(server: Server) -> None:
    with listening() as other:
        server.port = other.getsockname()[1]
        code, complained = server.ended("--empty")
    assert code == 2
    assert complained.startswith(f"Port {server.port} is in use by another program.")
    assert complained.count("\n") == 1
    assert not server.database.exists()


@pytest.mark.parametrize(
    ("env", "sentence"),
    [
        ({"YARDMARK_MODE": "holiday"}, "YARDMARK_MODE is 'holiday'."),
        ({"YARDMARK_SECRET_KEY": "short"}, "YARDMARK_SECRET_KEY is too short."),
        (
            {"YARDMARK_DATABASE_URL": "sqlite:////proc/1/school.db"},
            "The database cannot be used. unable to open",
        ),
    ],
)
def test_a_setting_that_cannot_be_is_a_sentence(
    server: Server, env: dict[str, str], sentence: str
) -> None:
    code, complained = server.ended("--empty", **env)
    assert code == 1
    assert complained.startswith(sentence)
    assert complained.count("\n") == 1
