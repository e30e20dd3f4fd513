"""What may be written down about a paper that was seen at the desk, and what it warns of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from app.rules.categories import Category
from app.rules.papers.ages import old_enough
from app.rules.papers.answers import Answer, Verdict
from app.rules.papers.lives import LIFE_YEARS, in_force, lapses_on
from app.rules.papers.values import PaperKind
from app.rules.people.ages import needs_guardian
from app.rules.refusal import Reason
from app.rules.words import date_words

SOON = timedelta(days=30)
"""A paper that lapses within so many days is worth a word. Our own choice."""


@dataclass(frozen=True, slots=True)
class SeenPaper:
    """A paper as it lies on the counter. Without ``lapses`` it has no end that we know of."""

    kind: PaperKind
    issued_on: date
    lapses_on: date | None = None


@dataclass(frozen=True, slots=True)
class Holder:
    """What the rules need to know of the student who holds the papers."""

    category: Category
    born: date | None
    has_guardian: bool


def as_seen(kind: PaperKind, issued: date, typed_end: date | None) -> SeenPaper:
    """The paper with its end: as typed, or else from the life that its kind has."""
    return SeenPaper(kind, issued, typed_end or lapses_on(kind, issued))


def why_not_seen(paper: SeenPaper, born: date | None, today: date) -> tuple[Reason, ...]:
    """Every reason against writing this paper down on ``today``."""
    return tuple(_reasons(paper, born, today))


def _reasons(paper: SeenPaper, born: date | None, today: date) -> Iterator[Reason]:
    if paper.issued_on > today:
        yield Reason("It cannot have been issued on a day still to come.", "issued_on")
    elif born and paper.issued_on < born:
        yield Reason(
            f"That is before the student was born, on {date_words(born)}. Check both dates.",
            "issued_on",
        )
    if paper.lapses_on is None:
        return
    longest = lapses_on(paper.kind, paper.issued_on)
    if paper.lapses_on <= paper.issued_on:
        yield Reason("It has to end after the day on which it was issued.", "lapses_on")
    elif longest and paper.lapses_on > longest:
        yield Reason(
            f"This kind of paper counts for {LIFE_YEARS[paper.kind]} years, "
            f"so it lapses on {date_words(longest)} at the latest.",
            "lapses_on",
        )


def answers(holder: Holder, papers: Iterable[SeenPaper], day: date) -> tuple[Answer, ...]:
    """Age and papers of a student on ``day``, one answer each."""
    newest = {paper.kind: paper for paper in sorted(papers, key=lambda p: p.issued_on)}
    kinds = (PaperKind.PROVISIONAL, PaperKind.CBT, PaperKind.THEORY)
    return (
        old_enough(holder.category, holder.born, day),
        *(_in_force(kind, newest.get(kind), day) for kind in kinds),
    )


def warnings(holder: Holder, papers: Iterable[SeenPaper], day: date) -> tuple[str, ...]:
    """Sentences that the desk should read before it books this student on ``day``."""
    said = [_warning(answer, day) for answer in answers(holder, papers, day)]
    if needs_guardian(holder.born, day) and not holder.has_guardian:
        said.insert(0, "Under 18, and no guardian is on file.")
    return tuple(sentence for sentence in said if sentence)


def _in_force(kind: PaperKind, paper: SeenPaper | None, day: date) -> Answer:
    if paper is None:
        return in_force(kind, None, None, day)
    return in_force(kind, paper.issued_on, paper.lapses_on, day)


def _warning(answer: Answer, day: date) -> str | None:
    if answer.verdict is not Verdict.YES:
        return answer.reason
    if answer.changes_on and answer.changes_on - day <= SOON:
        return answer.reason
    return None
