"""How long papers count, what may be written down about them, and what they warn of."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.rules.categories import Category
from app.rules.papers.answers import Verdict
from app.rules.papers.lives import in_force, lapses_on
from app.rules.papers.seen import Holder, SeenPaper, as_seen, warnings, why_not_seen
from app.rules.papers.values import PaperKind

TODAY = date(2026, 11, 26)
BORN = date(1998, 5, 17)


@pytest.mark.parametrize("kind", [PaperKind.CBT, PaperKind.THEORY])
def test_cbt_and_theory_count_for_two_years_and_not_on_the_anniversary(kind: PaperKind) -> None:
    issued = date(2024, 11, 26)
    lapses = lapses_on(kind, issued)
    assert lapses == date(2026, 11, 26)
    last = in_force(kind, issued, lapses, date(2026, 11, 25))
    assert (last.verdict, last.changes_on) == (Verdict.YES, lapses)
    assert "up to and including Wed 25 Nov 2026" in last.reason
    assert in_force(kind, issued, lapses, date(2026, 11, 26)).verdict is Verdict.NO


def test_a_paper_of_a_leap_day_lapses_on_the_careful_side() -> None:
    assert lapses_on(PaperKind.CBT, date(2024, 2, 29)) == date(2026, 2, 28)


@pytest.mark.parametrize("kind", [PaperKind.PROVISIONAL, PaperKind.MODULE_1])
def test_other_papers_have_no_fixed_life(kind: PaperKind) -> None:
    assert lapses_on(kind, TODAY) is None
    assert in_force(kind, TODAY, None, date(2050, 1, 1)).verdict is Verdict.YES


def test_a_paper_does_not_count_before_it_begins() -> None:
    answer = in_force(PaperKind.CBT, TODAY, None, TODAY - timedelta(days=1))
    assert (answer.verdict, answer.changes_on) == (Verdict.NO, TODAY)


def test_a_paper_that_nobody_saw_is_not_known() -> None:
    assert in_force(PaperKind.CBT, None, None, TODAY).verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize(
    ("paper", "field", "sentence"),
    [
        (SeenPaper(PaperKind.CBT, date(2026, 11, 27)), "issued_on", "still to come"),
        (SeenPaper(PaperKind.CBT, date(1998, 5, 16)), "issued_on", "before the student was born"),
        (SeenPaper(PaperKind.CBT, TODAY, TODAY), "lapses_on", "has to end after"),
        (SeenPaper(PaperKind.PROVISIONAL, TODAY, date(2020, 1, 1)), "lapses_on", "to end after"),
        (SeenPaper(PaperKind.CBT, TODAY, date(2028, 11, 27)), "lapses_on", "counts for 2 years"),
    ],
)
def test_a_paper_that_cannot_be_is_refused(paper: SeenPaper, field: str, sentence: str) -> None:
    (reason,) = why_not_seen(paper, BORN, TODAY)
    assert reason.field == field
    assert sentence in reason.sentence


def test_an_end_that_was_not_typed_follows_from_the_kind() -> None:
    assert as_seen(PaperKind.CBT, TODAY, None).lapses_on == date(2028, 11, 26)
    assert as_seen(PaperKind.CBT, TODAY, date(2027, 1, 1)).lapses_on == date(2027, 1, 1)
    assert as_seen(PaperKind.PROVISIONAL, TODAY, None).lapses_on is None


def test_the_last_year_that_there_is_does_no_harm() -> None:
    assert lapses_on(PaperKind.CBT, date(9999, 12, 31)) == date(9999, 12, 31)


def _full(cbt_issued: date) -> list[SeenPaper]:
    return [
        as_seen(PaperKind.PROVISIONAL, date(2020, 1, 1), None),
        as_seen(PaperKind.CBT, cbt_issued, None),
        as_seen(PaperKind.THEORY, date(2026, 6, 1), None),
    ]


def test_there_is_nothing_to_warn_of_when_all_is_in_force() -> None:
    holder = Holder(Category.A, BORN, has_guardian=False)
    assert warnings(holder, _full(date(2026, 6, 1)), TODAY) == ()


def test_a_paper_that_lapses_soon_is_worth_a_word_and_a_newer_one_takes_its_place() -> None:
    holder = Holder(Category.A, BORN, has_guardian=False)
    papers = _full(date(2024, 12, 10))
    assert warnings(holder, papers, TODAY) == (
        "The CBT certificate counts up to and including Wed 9 Dec 2026.",
    )
    assert warnings(holder, [as_seen(PaperKind.CBT, TODAY, None), *papers], TODAY) == ()


def test_someone_under_18_without_a_guardian_is_warned_of_first() -> None:
    holder = Holder(Category.AM, date(2009, 11, 27), has_guardian=False)
    assert warnings(holder, _full(date(2026, 6, 1)), TODAY) == (
        "Under 18, and no guardian is on file.",
    )
