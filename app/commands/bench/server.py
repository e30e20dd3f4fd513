"""The server under measurement, in a process of its own: our app, and the floor beside it."""

from __future__ import annotations

import logging
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from waitress.server import create_server
from werkzeug.middleware.dispatcher import DispatcherMiddleware

from app.commands.bench import floor
from app.config import Config
from app.web.factory import build

THREADS = 4
_START = "import sys; from app.commands.bench import server; server.main(*sys.argv[1:])"


@contextmanager
def running(url: str, folder: Path) -> Iterator[int]:
    """Start the server over the database at ``url``; gives its port and ends it afterwards."""
    command = [sys.executable, "-c", _START, url, str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:  # noqa: S603
        try:
            yield int(process.stdout.readline() if process.stdout else "")
        finally:
            process.terminate()


def main(url: str, folder: str) -> None:
    """Serve both apps under waitress and print the port."""
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    ours = build(Config(database_url=url, secret_key="b" * 40, rate_limits=False))
    both = DispatcherMiddleware(ours, {"/bare": floor.build(Path(folder) / "floor.db")})
    server = create_server(both, host="127.0.0.1", port=0, threads=THREADS)
    print(server.effective_port, flush=True)
    server.run()
