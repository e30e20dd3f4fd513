"""What can be asked for on the command line, known before anything is installed."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from typing import NoReturn

from app.door.trouble import Trouble

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8000
USAGE_CODE = 2

# The commands beside serving and testing, each with the line that --help shows.
COMMANDS = {
    "migrate": "bring the database to the newest layout",
    "demo": "load the invented demo school into an empty database",
    "create-owner": "make the first account, for the owner of a new school",
    "send": "send the email that waits to be sent",
    "backup": "write the whole school into one file",
    "restore": "read the school back from such a file",
    "rebuild-standings": "work out every student's standing again from the rides",
    "settle-results": "hold real test results against the chances before them",
    "estimate-school": "learn from the rides how hard each manoeuvre is",
    "nightly": "do all that is to be done each night",
    "backtest": "measure how well the standings foresaw the rides that followed",
    "bench": "measure the speed of the pages that matter",
}


@dataclass(frozen=True, slots=True)
class Help:
    """Show what there is."""


@dataclass(frozen=True, slots=True)
class Serve:
    """Serve the app at ``host``:``port``; ``empty`` leaves out the demo school."""

    host: str = DEFAULT_HOST
    port: int = DEFAULT_PORT
    empty: bool = False


@dataclass(frozen=True, slots=True)
class RunTests:
    """Run the checks and tests; ``fast`` leaves out the slow ones and the browser."""

    fast: bool = False
    expression: str = ""
    rest: tuple[str, ...] = ()

    @property
    def narrowed(self) -> bool:
        """Whether only some tests were asked for, so that the other checks are left out."""
        return bool(self.expression or self.rest)


@dataclass(frozen=True, slots=True)
class Inner:
    """One of ``COMMANDS``, with the words that follow it."""

    name: str
    words: tuple[str, ...] = ()


Order = Help | Serve | RunTests | Inner


def parse(words: list[str]) -> Order:
    """Understand the command line. Raises Trouble, with a sentence, when it makes no sense."""
    if not words or words[0].startswith("-"):
        words = ["serve", *words]
    name, rest = words[0], words[1:]
    if name == "test":
        return _parse_test(rest)
    if name == "help":
        return Help()
    if name == "serve":
        return _parse_serve(rest)
    if name not in COMMANDS:
        known = ", ".join(["test", *COMMANDS])
        raise Trouble(f"There is no command {name!r}. There are: {known}.", USAGE_CODE)
    return Inner(name, tuple(rest))


def help_text() -> str:
    """The answer to ``--help``."""
    rows = {"test": "check the code and run its tests", **COMMANDS}
    width = max(map(len, rows)) + 2
    commands = "\n".join(f"  {name:<{width}}{line}" for name, line in rows.items())
    return _HELP.format(commands=commands, host=DEFAULT_HOST, port=DEFAULT_PORT)


_HELP = """\
python3 -m app [--host HOST] [--port PORT] [--empty]
python3 -m app COMMAND …

Without a command: make .venv where it is missing, bring the database up to
date, load the demo school when the database is empty, and serve it.

  --host HOST  address to listen at (default {host}: this machine only)
  --port PORT  port to listen at (default {port})
  --empty      do not load the demo school

Commands:
{commands}

python3 -m app test [--fast] [-k EXPRESSION] [-- PYTEST WORDS …]
  --fast       leave out the slow tests and those in a browser
  -k, --       run only these tests, without the other checks
"""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise Trouble(f"{message[:1].upper()}{message[1:]}. See: python3 -m app --help", USAGE_CODE)


def _parse_serve(words: list[str]) -> Serve | Help:
    parser = _Parser(add_help=False, allow_abbrev=False)
    parser.add_argument("-h", "--help", action="store_true")
    parser.add_argument("--host", default=DEFAULT_HOST)
    parser.add_argument("--port", type=_port, default=DEFAULT_PORT)
    parser.add_argument("--empty", action="store_true")
    found = parser.parse_args(words)
    return Help() if found.help else Serve(found.host, found.port, found.empty)


def _parse_test(words: list[str]) -> RunTests | Help:
    cut = words.index("--") if "--" in words else len(words)
    parser = _Parser(add_help=False, allow_abbrev=False)
    parser.add_argument("-h", "--help", action="store_true")
    parser.add_argument("--fast", action="store_true")
    parser.add_argument("-k", dest="expression", default="")
    found = parser.parse_args(words[:cut])
    return Help() if found.help else RunTests(found.fast, found.expression, tuple(words[cut + 1 :]))


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 65535):
        raise Trouble(
            f"{text!r} is not a port. Ports are whole numbers from 1 to 65535.", USAGE_CODE
        )
    return int(text)
