"""Commands for the progress engine."""

from __future__ import annotations

import click

from app.commands.ground import school
from app.store.progress.writes import rebuild, settle_results


@click.command("rebuild-standings")
def rebuild_standings() -> None:
    """Work out every student's standing again from the rides."""
    with school() as database:
        count = rebuild(database)
    click.echo(f"Worked out again: {count} students.")


@click.command("settle-results")
def settle() -> None:
    """Hold the real results that came in against the chances given before them (nightly)."""
    with school() as database:
        count = settle_results(database)
    click.echo(f"Settled: {count} real results.")
