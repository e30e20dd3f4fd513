"""The school's own figures: how hard each manoeuvre is, as its rides say."""

from __future__ import annotations

from collections.abc import Iterator

import click

from app.commands.ground import config, school
from app.rules.accounts.roles import system
from app.rules.progress.estimate import Change
from app.rules.progress.figure_words import (
    LATER_RIDES,
    first_clean_in_hundred,
    harder_words,
    later_clean_in_hundred,
)
from app.rules.progress.school_figures import FOLDS, HeldOut, Shift
from app.rules.words import count_words
from app.store.progress.school_figures import Finding, find_figures, keep_figures

_WIDTH = 34


@click.command("estimate-school")
@click.option("--dry-run", is_flag=True, help="Show what would change and keep nothing.")
def estimate_school(dry_run: bool) -> None:
    """Estimate from the school's rides how hard each manoeuvre is, and what practice brings.

    Each figure is pulled towards its shipped value, the more so the fewer rides there
    are. The new ones are tried on students left out of the estimate, a fifth at a time,
    and kept only where they predict them at least as well as those so far; then every
    standing is worked out again by them.
    """
    now = config().clock()
    with school() as database:
        bar = click.progressbar(length=FOLDS, label="Trying on students left out")
        with database.reading() as session, bar:
            finding = find_figures(session, now, lambda: bar.update(1))
        for line in told(finding):
            click.echo(line)
        if dry_run:
            click.echo("This was a trial: nothing is kept.")
        elif finding.worth_keeping:
            count = keep_figures(database, system("estimate-school"), finding, now)
            click.echo(f"Kept. Worked out again: {count_words(count, 'student')}.")


def told(finding: Finding) -> Iterator[str]:
    """What was found, line by line: the table, how well it predicts, what it changes."""
    on = f"{count_words(finding.rides, 'ride')} of {count_words(finding.students, 'student')}"
    yield f"From {on}."
    if finding.held_out is None or finding.shift is None:
        yield "Nothing changes: the figures are of these rides already."
        return
    yield from _table(finding)
    yield held_out_words(finding.held_out)
    yield shift_words(finding.shift)


def _table(finding: Finding) -> Iterator[str]:
    head = f"{'clean in 100 the first time':>29}{f'after {LATER_RIDES} rides':>18}"
    yield f"\n{'':{_WIDTH}}{head}   rides  students"
    for change in finding.changes:
        yield _row(change, finding)
    yield ""


def _row(change: Change, finding: Finding) -> str:
    fixed = finding.before
    first, later = (
        f"{each(change.before, fixed)} -> {each(change.after, fixed)}"
        for each in (first_clean_in_hundred, later_clean_in_hundred)
    )
    name, riders = finding.names[change.variant_id], finding.riders.get(change.variant_id, 0)
    counts = f"{change.attempts:>8}{riders:>10}"
    words = harder_words(change.before, change.after)
    return f"{name:{_WIDTH}}{first:>29}{later:>18}{counts}  {words}"


def held_out_words(tried: HeldOut) -> str:
    """How well the figures predict students left out, and what follows from it."""
    figures = (
        f"{tried.after:.4f} by the new figures, {tried.before:.4f} by those so far,"
        f" {tried.shipped:.4f} by the shipped ones"
    )
    verdict = (
        "The new ones predict at least as well."
        if tried.worth_keeping
        else "The new ones predict less well, so those so far stay."
    )
    return f"Log loss on students left out, a fifth at a time: {figures}. {verdict}"


def shift_words(moved: Shift) -> str:
    """What the new figures do to the standings and the flags."""
    return (
        f"Of {moved.ridden:,} standings {moved.changed:,} change;"
        f" {moved.flags_before:,} are flagged now, {moved.flags_after:,} by the new figures."
    )
