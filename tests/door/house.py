"""A small project behind a copy of the real door, in a folder of its own.

The door is the real one, and so are Python, venv and pip. Only the project that
it opens on is small, so that installing it takes no network and little time.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PYTHON = getattr(sys, "_base_executable", sys.executable)

_PROJECT = """\
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]

[project]
name = "house"
version = "1"
dependencies = []
"""

_NEEDS_A_PACKAGE = _PROJECT.replace("dependencies = []", 'dependencies = ["flask"]')

# The smallest thing that pip accepts as a builder: a wheel is a zip with three files.
_BACKEND = """\
import re, zipfile
from pathlib import Path

def build_editable(folder, config_settings=None, metadata_directory=None):
    metadata = "Metadata-Version: 2.1\\nName: house\\nVersion: 1\\nProvides-Extra: test\\n"
    found = re.search(r'dependencies = \\["(.+)"\\]', Path("pyproject.toml").read_text())
    metadata += f"Requires-Dist: {found[1]}\\n" if found else ""
    wheel = "Wheel-Version: 1.0\\nGenerator: house\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n"
    files = {"METADATA": metadata, "WHEEL": wheel}
    record = "".join(f"house-1.dist-info/{name},,\\n" for name in [*files, "RECORD"])
    name = "house-1-py3-none-any.whl"
    with zipfile.ZipFile(Path(folder) / name, "w") as archive:
        for each, text in {**files, "RECORD": record}.items():
            archive.writestr(f"house-1.dist-info/{each}", text)
    return name
"""

_INNER = '''\
"""What lies behind the door."""
import sys, time

def run(words):
    print("inside", sys.prefix, *words, flush=True)
    if words[:1] == ["bench"]:
        time.sleep(60)
    if words[:1] == ["backtest"]:
        import a_package_that_is_not_there
    return 7
'''


@dataclass
class House:
    """A checkout with the door in it."""

    folder: Path
    env: dict[str, str] = field(default_factory=dict)

    @property
    def venv(self) -> Path:
        """Where the door puts the environment."""
        return self.folder / ".venv"

    @property
    def stamp(self) -> Path:
        """The mark of a whole environment."""
        return self.venv / "yardmark-ready"

    def needs_a_package(self) -> None:
        """Let the project need something from the package index."""
        (self.folder / "pyproject.toml").write_text(_NEEDS_A_PACKAGE)

    def index_at(self, port: int) -> None:
        """Say that the package index is at a port of this machine."""
        self.env["PIP_INDEX_URL"] = f"http://127.0.0.1:{port}/simple"

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run ``python3 -m app`` with words, to its end."""
        return self.run_python("-m", "app", *words)

    def run_python(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Run a bare Python in the checkout."""
        return subprocess.run(
            [PYTHON, *words],
            cwd=self.folder,
            env=self.env,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )

    def start(self, *words: str) -> subprocess.Popen[str]:
        """Start ``python3 -m app``, in a process group of its own, and leave it running."""
        return subprocess.Popen(
            [PYTHON, "-m", "app", *words],
            cwd=self.folder,
            env=self.env,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            # A runner in the background may have been told to ignore Ctrl-C, and hands that on.
            preexec_fn=_hear_interrupts,
            process_group=0,
        )


def _hear_interrupts() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def build(folder: Path) -> House:
    """Set up a house with the door as it is in this checkout, and an unreachable package index."""
    shutil.copytree(ROOT / "app" / "door", folder / "app" / "door", ignore=_no_caches)
    for name in ("__init__.py", "__main__.py"):
        shutil.copy(ROOT / "app" / name, folder / "app" / name)
    (folder / "app" / "commands").mkdir()
    (folder / "app" / "commands" / "__init__.py").touch()
    (folder / "app" / "commands" / "inner.py").write_text(_INNER)
    (folder / "pyproject.toml").write_text(_PROJECT)
    (folder / "backend.py").write_text(_BACKEND)
    house = House(folder, _environment())
    house.index_at(closed_port())
    return house


_no_caches = shutil.ignore_patterns("__pycache__")


def _environment() -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not _leaks(name)}
    return {
        **kept,
        "PIP_CONFIG_FILE": os.devnull,
        "PIP_NO_CACHE_DIR": "1",
        "PIP_RETRIES": "0",
        "no_proxy": "127.0.0.1",
    }


def _leaks(name: str) -> bool:
    return name.startswith(("PIP_", "PYTHON", "YARDMARK_", "COV_")) or name in ("CI", "VIRTUAL_ENV")


def closed_port() -> int:
    """A port of this machine at which nothing listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def listening() -> AbstractContextManager[socket.socket]:
    """A program that has a port of this machine and never says a word."""
    return socket.create_server(("127.0.0.1", 0))


def wait_until(true: Callable[[], bool], seconds: float = 60) -> None:
    """Wait for something to come about; fail when it does not."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.05)


def snapshot(folder: Path) -> dict[str, int]:
    """When each file was last written; Python's own caches left out."""
    files = (path for path in folder.rglob("*") if "__pycache__" not in path.parts)
    return {str(path): path.lstat().st_mtime_ns for path in files}
