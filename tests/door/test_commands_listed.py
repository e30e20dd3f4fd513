"""The list that ``--help`` shows before anything is installed is the list there is."""

from __future__ import annotations

import click

from app.commands import cli
from app.door.arguments import COMMANDS


def test_the_help_names_exactly_the_commands_there_are() -> None:
    assert {"serve", *COMMANDS} == set(cli.list_commands(click.Context(cli)))
