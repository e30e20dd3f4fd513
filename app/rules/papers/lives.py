"""How long papers count."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import MAXYEAR, date, timedelta

from app.rules.papers.answers import Answer, Verdict
from app.rules.papers.values import PaperKind
from app.rules.words import date_words

LIFE_YEARS: Mapping[PaperKind, int] = {PaperKind.CBT: 2, PaperKind.THEORY: 2}
"""Years that a paper counts. DVSA manual for training bodies; DVSA guidance DT1, section 2."""

NAMES: Mapping[PaperKind, str] = {
    PaperKind.PROVISIONAL: "provisional licence",
    PaperKind.CBT: "CBT certificate",
    PaperKind.THEORY: "theory pass",
    PaperKind.MODULE_1: "module 1 pass",
}


def years_later(day: date, years: int) -> date:
    """The anniversary of a day. 29 February has 28 February in a common year: the careful side."""
    year = min(day.year + years, MAXYEAR)
    try:
        return day.replace(year=year)
    except ValueError:
        return day.replace(year=year, day=28)


def lapses_on(kind: PaperKind, issued: date) -> date | None:
    """The first day on which a paper no longer counts; None for one that has no fixed life.

    The anniversary itself is too late (common practice, no source).
    """
    years = LIFE_YEARS.get(kind)
    return years_later(issued, years) if years else None


def in_force(kind: PaperKind, issued: date | None, lapses: date | None, day: date) -> Answer:
    """Whether a paper counts on ``day``; ``issued`` is None when none has been seen."""
    name = NAMES[kind]
    if issued is None:
        return Answer(Verdict.NOT_KNOWN, f"No {name} has been seen at the desk.")
    if day < issued:
        return Answer(Verdict.NO, f"The {name} begins on {date_words(issued)}.", issued)
    if lapses is None:
        return Answer(Verdict.YES, f"The {name} has been seen.")
    if day >= lapses:
        return Answer(Verdict.NO, f"The {name} lapsed on {date_words(lapses)}.")
    last = date_words(lapses - timedelta(days=1))
    return Answer(Verdict.YES, f"The {name} counts up to and including {last}.", lapses)
