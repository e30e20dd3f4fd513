"""Commands for the school's records as a whole."""

from __future__ import annotations

from pathlib import Path

import click

from app.commands.ground import config, plainly, school
from app.store import migrate as migrations
from app.store.riding.reference import load_reference
from app.store.school import backup as backups
from app.store.school.demo.load import load_demo


@click.command()
def migrate() -> None:
    """Bring the database to the newest layout, and the reference data with it."""
    migrations.upgrade(config().database_url)
    with school() as database:
        load_reference(database, config().clock())
    click.echo("The database is at the newest layout.")


@click.command()
def demo() -> None:
    """Load the invented demo school into an empty database."""
    migrations.upgrade(config().database_url)
    with school() as database:
        load_demo(database, config().clock())
    click.echo("Saltmarsh Rider School is loaded. Everyone in it is invented.")


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
def backup(file: Path) -> None:
    """Write the whole school into FILE, while the app is in use."""
    with plainly():
        size = backups.backup(config().database_url, file)
    click.echo(f"Written and checked: {file}, {size:,} bytes.")


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
def restore(file: Path) -> None:
    """Bring the school back from FILE, which the backup command made."""
    with plainly():
        backups.restore(config().database_url, file)
    migrations.upgrade(config().database_url)
    click.echo("The school is restored.")
