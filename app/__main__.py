"""The way in: ``python3 -m app``. Runs on a machine that has nothing but Python.

The syntax here and in ``app/__init__.py`` is kept old, so that an old Python
gets as far as saying what it lacks.
"""

from __future__ import annotations

import sys


def main() -> int:
    """Run the command on the command line; return the exit code."""
    if sys.version_info < (3, 11):  # noqa: UP036 (this line is the check)
        sys.stderr.write(
            "Yardmark needs Python 3.11 or newer, and this is Python {}.{}. "
            "Start it with a newer one, for instance: python3.11 -m app\n".format(*sys.version_info)
        )
        return 1
    try:
        from app.door.entry import enter

        return enter(sys.argv[1:], _inside)
    except KeyboardInterrupt:
        sys.stderr.write("Stopped.\n")
        return 130


def _inside(words: list[str]) -> int:
    from app.commands.inner import run

    return run(words)


if __name__ == "__main__":
    sys.exit(main())
