"""The commands of the app, beside its pages. Each is loaded only when it is asked for."""

from __future__ import annotations

from importlib import import_module

import click

_WHERE = {
    "serve": "app.commands.serve:serve_command",
    "migrate": "app.commands.records:migrate",
    "demo": "app.commands.records:demo",
    "backup": "app.commands.records:backup",
    "restore": "app.commands.records:restore",
    "create-owner": "app.commands.accounts:create_owner",
    "send": "app.commands.send:send",
    "rebuild-standings": "app.commands.progress:rebuild_standings",
    "settle-results": "app.commands.progress:settle",
    "estimate-school": "app.commands.school_figures:estimate_school",
    "nightly": "app.commands.nightly:nightly",
    "backtest": "app.commands.backtest:backtest",
    "bench": "app.commands.bench:bench",
}


class LazyGroup(click.Group):
    """A group whose commands are imported when they are run, so that starting stays quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names of all commands, in the order in which a new school meets them."""
        return list(_WHERE)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command; None where there is no such name."""
        where = _WHERE.get(cmd_name)
        if where is None:
            return None
        module, _, attribute = where.partition(":")
        command: click.Command = getattr(import_module(module), attribute)
        return command

    def loaded(self) -> dict[str, click.Command]:
        """All commands by name, each imported."""
        context = click.Context(self)
        found = {name: self.get_command(context, name) for name in self.list_commands(context)}
        return {name: command for name, command in found.items() if command is not None}


cli = LazyGroup(name="yardmark", help="Yardmark: the work of a riding school.")
