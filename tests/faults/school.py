"""A real server process over a school of four riders, to be killed and started again."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from contextlib import suppress
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException
from pathlib import Path

from app.store.database import Database
from app.store.riding.course import load_course
from app.store.riding.reference import load_reference
from tests.support import cast, diary
from tests.support.clock import START

_SERVE = """
import sys
from waitress import serve
from app import create_app
from app.config import Config
from tests.support.clock import Clock
config = Config(database_url=sys.argv[1], secret_key="k" * 40, clock=Clock(), rate_limits=False)
serve(create_app(config), host="127.0.0.1", port=int(sys.argv[2]), threads=4)
"""
_START_SECONDS = 60


def free_port() -> int:
    """A port that nobody uses now."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
        return port


@dataclass
class KillableServer:
    """The server as a process of its own, always at the same port."""

    url: str
    port: int = field(default_factory=free_port)
    kills: int = 0
    _process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it and wait until it answers."""
        command = [sys.executable, "-c", _SERVE, self.url, str(self.port)]
        root = Path(__file__).parents[2]
        self._process = subprocess.Popen(
            command, cwd=root, env={**os.environ, "PYTHONPATH": str(root)},
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        ends = time.monotonic() + _START_SECONDS
        while not self._answers():
            assert time.monotonic() < ends, "the server did not start"
            assert self._process.poll() is None, "the server ended by itself"
            time.sleep(0.05)

    def _answers(self) -> bool:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=2)
        with suppress(OSError, HTTPException):
            connection.request("GET", "/sign-in")
            return connection.getresponse().status == 200
        return False

    def kill(self) -> None:
        """End it with SIGKILL, as a power cut would."""
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait(timeout=10)
            self.kills += 1
            self._process = None


@dataclass(frozen=True)
class YardSchool:
    """Four riders in one session of Ines's, and what they can ride."""

    people: cast.Cast
    riders: tuple[int, ...]
    faults: dict[int, str]
    """What can be ridden, each with a fault that is offered for it."""


def prepare(db: Database) -> YardSchool:
    """Fill an empty school."""
    load_reference(db, START)
    people = cast.make(db, START)
    more = diary.add_students(db, 3)
    bikes = diary.add_bikes(db, 3)
    for rider, bike in zip(more, bikes, strict=True):
        diary.book(db, people.session, rider, bike)
    with db.reading() as session:
        course = load_course(session)
    usual = [each for each in course.variants if not each.manoeuvre.minimum_kmh][:5]
    faults = {each.id: next(iter(course.offers(each.manoeuvre.code))) for each in usual}
    return YardSchool(people, (people.learner, *more), faults)
