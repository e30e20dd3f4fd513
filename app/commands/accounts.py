"""Making the first account of a school."""

from __future__ import annotations

import os

import click
from email_validator import EmailNotValidError, validate_email

from app.config import BadConfig, Config, from_env
from app.rules.accounts.passwords import SHORTEST
from app.rules.accounts.roles import system
from app.rules.refusal import Refused
from app.store import migrate
from app.store.accounts.colleagues import create_owner as create
from app.store.database import Database


def _configured() -> Config:
    try:
        return from_env(os.environ)
    except BadConfig as error:
        raise click.ClickException(str(error)) from error


def _email(_context: click.Context, _option: click.Parameter, typed: str) -> str:
    try:
        return validate_email(typed.strip(), check_deliverability=False).normalized
    except EmailNotValidError as error:
        raise click.BadParameter(f"{typed!r} is not an email address.") from error


def _name(_context: click.Context, _option: click.Parameter, typed: str) -> str:
    name = typed.strip()
    if not 0 < len(name) <= 100:
        raise click.BadParameter("Type a name of 1 to 100 characters.")
    return name


@click.command("create-owner")
@click.option("--email", prompt="Email", callback=_email, help="The address to sign in with.")
@click.option("--name", prompt="Name", callback=_name, help="The name that others see.")
@click.password_option(
    prompt=f"Password ({SHORTEST} characters or more)", help="Asked for when it is left out."
)
def create_owner(email: str, name: str, password: str) -> None:
    """Make an owner's account: the first person who can sign in."""
    config = _configured()
    school = Database(config.database_url)
    try:
        if not migrate.is_current(school.engine):
            raise click.ClickException("The database is not of this release. Run migrate first.")
        create(school, system("create-owner"), name, email, password, config.clock())
    except Refused as refused:
        raise click.ClickException(str(refused)) from refused
    finally:
        school.close()
    click.echo(f"{name} can now sign in as {email.lower()}.")
