"""Making ``.venv`` and installing the project into it."""

from __future__ import annotations

import importlib.util
import re
import shutil
import subprocess
import sys

from app.door import stamp
from app.door.place import VENV, inside_venv, venv_python
from app.door.processes import Finished, watch
from app.door.progress import Progress
from app.door.trouble import Trouble

_LOG = VENV / "yardmark-install.log"
_UNREACHABLE = re.compile(
    r"NewConnectionError|Failed to establish a new connection|Connection refused|Name or service"
    r"|Temporary failure in name resolution|Network is unreachable|No route to host|getaddrinfo"
    r"|ConnectTimeout|Connect(ion)? ?timed? ?out|Read timed out|ReadTimeout|ProxyError"
    r"|Max retries exceeded|Connection aborted|Connection broken|RemoteDisconnected"
    r"|\(from versions: none\)"  # an index that answers lists some versions
)


def make_ready(extra: str = "") -> None:
    """Make ``.venv`` whole for ``extra``, from whatever state it is in.

    Raises Trouble, with a sentence, when that cannot be done. An environment left
    half made has no stamp, and the next call goes on with it.
    """
    if stamp.is_ready(extra):
        return
    _check_this_python()
    try:
        stamp.forget()
        _make_venv()
        _install(extra)
        stamp.set_ready(extra)
    except OSError as error:
        raise Trouble(f"{VENV} could not be made: {error}.") from error


def _check_this_python() -> None:
    missing = [name for name in ("venv", "ensurepip") if importlib.util.find_spec(name) is None]
    if missing:
        raise Trouble(
            f"This Python lacks {' and '.join(missing)}, which make virtual environments. On "
            "Debian or Ubuntu, install them as root with: apt-get install python3-venv. Then "
            "start again."
        )


def _make_venv() -> None:
    if inside_venv() or _works():
        print("An unfinished or outdated .venv is here: going on with it.")
        return
    if VENV.exists() or VENV.is_symlink():
        print("The .venv here is broken or was made by another Python: making it anew.")
        _remove()
    with Progress("Making .venv (1 of 2)") as progress:
        done = watch([_base_python(), "-m", "venv", str(VENV)], _ignore, progress.show)
        if done.code:
            raise Trouble(f".venv could not be made. {_last_words(done)}")


def _works() -> bool:
    """Whether the Python in ``.venv`` runs, is of this version and has its pip."""
    if not (VENV / "pyvenv.cfg").is_file() or not venv_python().exists():
        return False
    question = "import sys, pip; print('{}.{}'.format(*sys.version_info))"
    try:
        asked = subprocess.run(  # noqa: S603 (our own command line)
            [str(venv_python()), "-I", "-c", question],
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return asked.returncode == 0 and asked.stdout.strip() == stamp.python_version()


def _remove() -> None:
    if VENV.is_dir() and not VENV.is_symlink():
        shutil.rmtree(VENV)
    else:
        VENV.unlink()


def _base_python() -> str:
    """The Python outside every environment: one made from another would depend on it."""
    return getattr(sys, "_base_executable", "") or sys.executable


def _install(extra: str) -> None:
    what = ".[test]" if extra else "."
    command = [str(venv_python()), "-m", "pip", "install", "--no-input", "--progress-bar", "off"]
    command += ["--disable-pip-version-check", "-e", what]
    purpose = "Yardmark and what its tests need" if extra else "Yardmark"
    with Progress(f"Installing {purpose} (2 of 2)") as progress:
        listener = PipListener(progress)
        done = watch(command, listener.heard, progress.show)
        _LOG.write_text(done.output, encoding="utf-8")
        if done.code:
            raise _install_trouble(done)


class PipListener:
    """Turns what pip says into a few words for the progress line."""

    def __init__(self, progress: Progress) -> None:
        self._progress = progress
        self._packages: set[str] = set()

    def heard(self, line: str) -> None:
        """Take in one line of pip's output."""
        if found := re.match(r"Collecting ([\w.-]+)", line):
            self._packages.add(found[1])
            self._progress.detail = f"package {len(self._packages)}: {found[1]}"
        elif line.startswith("Installing collected packages"):
            self._progress.detail = f"unpacking {line.count(',') + 1} packages"
        elif "Retrying (" in line:
            self._progress.detail = "the package index does not answer, trying again"


def _install_trouble(done: Finished) -> Trouble:
    if _UNREACHABLE.search(done.output):
        return Trouble(
            "The packages could not be fetched: this machine cannot reach the Python package "
            "index. Check the network, the proxy or pip's settings, then run the same command "
            "again; it goes on from here."
        )
    return Trouble(
        f"pip could not install the project. {_last_words(done)} All it said is in {_LOG}."
    )


def _last_words(done: Finished) -> str:
    lines = [line.strip() for line in done.output.splitlines() if line.strip()]
    errors = [line for line in lines if re.match(r"(\w+\.)*\w*error\b", line, re.I)] or lines
    return f"Its last words: {errors[-1]}" if errors else f"It ended with code {done.code}."


def _ignore(_line: str) -> None:
    return None
