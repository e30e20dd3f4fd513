"""Where the door hands over: everything that was asked for is installed by now."""

from __future__ import annotations

import click
from sqlalchemy.exc import OperationalError

from app.commands import cli
from app.config import BadConfig
from app.door.arguments import Serve, parse
from app.door.trouble import Trouble


def run(words: list[str]) -> int:
    """Run what ``words`` ask for and return its exit code.

    Raises Trouble, with a sentence, when a setting, the database or the address
    cannot be used, and KeyboardInterrupt when it was stopped from the keyboard.
    """
    order = parse(words)
    try:
        if isinstance(order, Serve):
            from app.commands.serve import serve

            return serve(order.host, order.port, order.empty)
        return int(cli.main(words, prog_name="python3 -m app", standalone_mode=False) or 0)
    except click.Abort:
        raise KeyboardInterrupt from None
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except BadConfig as error:
        raise Trouble(str(error)) from error
    except OperationalError as error:
        raise Trouble(f"The database cannot be used. {error.orig}") from error
