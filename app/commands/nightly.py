"""All that is to be done each night, for a timer."""

from __future__ import annotations

import logging
from collections.abc import Callable

import click

from app.commands.ground import config, school
from app.commands.posting import deliver, prepare, round_words
from app.commands.school_figures import shift_words
from app.config import Config
from app.rules.accounts.roles import system
from app.rules.refusal import Refused
from app.rules.words import count_words
from app.store.database import Database
from app.store.people.searching import search_anew
from app.store.post_office import CannotSend
from app.store.progress.school_figures import find_figures, keep_figures
from app.store.progress.writes import settle_results

Job = Callable[[Database, Config], str]


def _settle(database: Database, _config: Config) -> str:
    return f"{count_words(settle_results(database), 'result')} settled."


def _estimate(database: Database, config: Config) -> str:
    now = config.clock()
    with database.reading() as session:
        finding = find_figures(session, now)
    if finding.shift is None:
        return "nothing changes."
    if not finding.worth_keeping:
        return "left as they are, since new ones would predict less well."
    keep_figures(database, system("nightly"), finding, now)
    return f"kept anew. {shift_words(finding.shift)}"


def _send(database: Database, config: Config) -> str:
    said = prepare(database, now := config.clock())
    if config.smtp is None:
        return ", ".join([*said, "no mail server is set, so none is sent."])
    done = deliver(database, config, now)
    if done.trouble:
        raise CannotSend(done.trouble)
    return f"{', '.join([*said, *round_words(done)])}."


def _search(database: Database, _config: Config) -> str:
    return f"{count_words(search_anew(database), 'record')} brought up to date."


JOBS: dict[str, Job] = {
    "Real results": _settle,
    "The school's figures": _estimate,
    "Search": _search,
    "Email": _send,
}
"""In this order, since the results say more once they are settled."""


@click.command("nightly")
def nightly() -> None:
    """Do all that is to be done each night; run twice, the second time changes nothing.

    Each job is told in a line. One that fails does not keep the others from being
    done, and makes the exit code 1.
    """
    configured = config()
    with school() as database:
        failed = [name for name, job in JOBS.items() if not _done(name, job, database, configured)]
    if failed:
        raise click.ClickException(f"Not done tonight: {', '.join(failed)}.")


def _done(name: str, job: Job, database: Database, configured: Config) -> bool:
    """Do one job and say how it went; whether it went well."""
    try:
        click.echo(f"{name}: {job(database, configured)}")
    except Refused as refused:
        click.echo(f"{name}: left as they are. {refused}")
    except Exception as error:  # whatever goes wrong in one, the others are still done
        logging.getLogger(__name__).exception("the nightly job %r failed", name)
        click.echo(f"{name}: failed. {error}")
        return False
    return True
