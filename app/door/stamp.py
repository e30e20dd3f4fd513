"""The stamp on ``.venv``: written last, so that a half-made environment has none.

It holds a fingerprint of everything the environment was made from. A stamp that
is missing or different means that installing has to be done, or gone on with.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

from app.door.place import ROOT, VENV, venv_python

EXTRAS = ("", "test")


def is_ready(extra: str = "") -> bool:
    """Whether ``.venv`` is whole and up to date for ``extra``. Quick: it reads two small files."""
    try:
        return venv_python().exists() and _path(extra).read_text("utf-8") == fingerprint()
    except OSError:
        return False


def set_ready(extra: str = "") -> None:
    """Mark ``.venv`` as whole for ``extra``, which is whole without any extra too."""
    for each in {"", extra}:
        _path(each).write_text(fingerprint(), encoding="utf-8")


def forget() -> None:
    """Take every stamp off, before anything in ``.venv`` is touched."""
    for extra in EXTRAS:
        try:
            _path(extra).unlink(missing_ok=True)
        except NotADirectoryError:  # .venv itself is a file
            return


def fingerprint() -> str:
    """What an environment depends on: the project file, Python's version and the folder.

    The folder counts because an environment holds absolute paths: copied or moved
    with its checkout, it would still run the code at the old place.
    """
    project = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    return f"{project} {python_version()} {ROOT}\n"


def python_version() -> str:
    """Version of the running Python, as far as installed packages depend on it."""
    return "{}.{}".format(*sys.version_info)


def _path(extra: str) -> Path:
    return VENV / ("yardmark-ready" + (f"-{extra}" if extra else ""))
