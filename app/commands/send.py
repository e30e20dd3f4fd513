"""Writing the reminders that are due and sending email that is owed, for a timer or by hand."""

from __future__ import annotations

import click

from app.commands.ground import config, school
from app.commands.posting import deliver, prepare, round_words
from app.rules.words import count_words
from app.store.post_office import CannotSend, stuck, waiting


@click.command("send")
def send() -> None:
    """Write the reminders that are due, and send the email that is owed.

    Safe to run at any time, also twice at once. The exit code is 1 when no mail
    server is set or the server takes nothing; what is owed then waits.
    """
    configured = config()
    now = configured.clock()
    with school() as database:
        said = prepare(database, now)
        if configured.smtp is None:
            raise _waits(said, "No mail server is set: set YARDMARK_SMTP_URL.", waiting(database))
        try:
            done = deliver(database, configured, now)
        except CannotSend as error:
            raise _waits(said, str(error), waiting(database)) from error
        click.echo(f"{', '.join([*said, *round_words(done)])}.")
        if lost := stuck(database, now):
            was = count_words(lost, "message")
            click.echo(f"{was} may or may not have left; see Messages at the desk.")
        if done.trouble:
            raise _waits([], done.trouble, waiting(database))


def _waits(said: list[str], why: str, number: int) -> click.ClickException:
    done = f"{', '.join(said)}. " if said else ""
    return click.ClickException(
        f"{done}{why} {count_words(number, 'message waits', 'messages wait')}."
    )
