"""The app behind a real web server, in a thread, for tests with a real browser."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import Thread
from typing import Any

from flask import Flask
from waitress.server import create_server

from app import create_app
from app.config import ROOT, Config
from app.store.database import Database

_THREADS = 4


@dataclass(frozen=True)
class Server:
    """A served school: its address, and the app and the database behind it."""

    address: str
    app: Flask

    @property
    def port(self) -> int:
        """The port that it listens on."""
        return int(self.address.rpartition(":")[2])

    @property
    def database(self) -> Database:
        """The database that the app uses."""
        school: Database = self.app.extensions["yardmark_database"]
        return school


@contextmanager
def serving(
    url: str, clock: Callable[[], datetime], *, port: int = 0, static: Path = ROOT / "static"
) -> Iterator[Server]:
    """Serve the database at ``url`` until the block ends, on any free port unless told which.

    ``static`` is the folder of the release that is served.
    """
    config = Config(
        database_url=url, secret_key="k" * 40, clock=clock, rate_limits=False, static=static
    )
    app = create_app(config)
    listener = create_server(app, host="127.0.0.1", port=port, threads=_THREADS)
    thread = Thread(target=listener.run, name="school", daemon=True)
    thread.start()
    server = Server(f"http://127.0.0.1:{listener.effective_port}", app)
    try:
        yield server
    finally:
        _stop(listener, thread)
        server.database.close()


def _stop(listener: Any, thread: Thread) -> None:
    """Close every socket from within the server's own loop, which then ends."""
    listener.trigger.pull_trigger(lambda: _close_all(listener))
    thread.join(timeout=5)
    assert not thread.is_alive(), "the test's web server did not stop"


def _close_all(listener: Any) -> None:
    for channel in list(listener._map.values()):
        channel.close()
