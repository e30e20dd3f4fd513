"""The server under measurement, in a process of its own: our app, and the floor beside it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from waitress.server import create_server
from werkzeug.middleware.dispatcher import DispatcherMiddleware

from app.web.factory import build
from app.commands.bench import floor
from app.config import Config

THREADS = 4


@contextmanager
def running(url: str, folder: Path) -> Iterator[int]:
    """Start the server over the database at ``url``; gives its port and ends it afterwards."""
    command = [sys.executable, "-m", "app.commands.bench.server", url, str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:  # noqa: S603
        try:
            yield int(process.stdout.readline() if process.stdout else "")
        finally:
            process.terminate()


def main(url: str, folder: Path) -> None:
    """Serve both apps under waitress and print the port."""
    ours = build(Config(database_url=url, secret_key="b" * 40, rate_limits=False))
    both = DispatcherMiddleware(ours, {"/bare": floor.build(folder / "floor.db")})
    server = create_server(both, host="127.0.0.1", port=0, threads=THREADS)
    print(server.effective_port, flush=True)
    server.run()


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
