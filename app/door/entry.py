"""From the command line to the command, making ``.venv`` on the way."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable

from app.door import arguments, ports, stamp, suite
from app.door.building import make_ready
from app.door.place import inside_venv, venv_python
from app.door.processes import hold_interrupts, replace_with
from app.door.trouble import Trouble

INTERRUPTED_CODE = 130  # 128 and the number of SIGINT, as shells have it


def enter(words: list[str], inside: Callable[[list[str]], int]) -> int:
    """Do what ``words`` ask; ``inside`` runs a command once everything it needs is installed.

    Returns the exit code.
    """
    return plainly(lambda: _obey(words, inside))


def plainly(act: Callable[[], int]) -> int:
    """Do something and return its exit code; Trouble and Ctrl-C end in one plain line."""
    try:
        hold_interrupts(False)
        return act()
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        return trouble.code
    except KeyboardInterrupt:
        return _interrupted()


def _obey(words: list[str], inside: Callable[[list[str]], int]) -> int:
    order = arguments.parse(words)
    if isinstance(order, arguments.Help):
        print(arguments.help_text(), end="")
        return 0
    if isinstance(order, arguments.RunTests):
        make_ready("test")
        return suite.run(order)
    if isinstance(order, arguments.Serve):
        ports.check(order.host, order.port)
    make_ready()
    if inside_venv():
        return _step_inside(words, inside)
    return replace_with(venv_python(), ["-m", "app", *words])


def _step_inside(words: list[str], inside: Callable[[list[str]], int]) -> int:
    try:
        return inside(words)
    except ModuleNotFoundError as error:
        if (error.name or "app").partition(".")[0] == "app":
            raise
        stamp.forget()
        raise Trouble(
            f"{error.name} is missing from .venv, which is not whole any more. "
            "Run the same command again and it is put right."
        ) from error


def _interrupted() -> int:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a second Ctrl-C has nothing left to stop
    hint = "" if stamp.is_ready() else " Run the same command again and it goes on from here."
    start = "\n" if sys.stderr.isatty() else ""  # the terminal has just shown ^C
    print(f"{start}Stopped.{hint}", file=sys.stderr)
    return INTERRUPTED_CODE
