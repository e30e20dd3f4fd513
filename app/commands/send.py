"""Sending email that is still owed, for a timer or by hand."""

from __future__ import annotations

import os

import click

from app.config import BadConfig, from_env
from app.rules.words import count_words
from app.store.database import Database
from app.store.post_office import CannotSend, send_owed, stuck


@click.command("send")
def send() -> None:
    """Send the email that is owed. Safe to run at any time, also twice at once."""
    try:
        config = from_env(os.environ)
    except BadConfig as error:
        raise click.ClickException(str(error)) from error
    if config.smtp is None:
        raise click.ClickException("No mail server is set. Set YARDMARK_SMTP_URL.")
    school = Database(config.database_url)
    try:
        done = send_owed(school, config.smtp, config.sender, config.clock())
        left = stuck(school)
    except CannotSend as error:
        raise click.ClickException(str(error)) from error
    finally:
        school.close()
    click.echo(f"{count_words(done.sent, 'message')} sent, {done.refused} refused.")
    if left:
        was = count_words(left, "message")
        click.echo(f"{was} may or may not have left when the line broke; not tried again.")
