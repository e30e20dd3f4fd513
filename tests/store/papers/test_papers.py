"""Papers as the desk writes them down."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pytest

from app.rules.papers.seen import as_seen
from app.rules.papers.values import PaperKind
from app.rules.refusal import Missing, Refused
from app.store.database import Database
from app.store.papers import reads, writes
from tests.support import cast
from tests.support.clock import START
from tests.support.diary import DESK

TODAY = date(2026, 11, 26)
CBT = as_seen(PaperKind.CBT, date(2026, 6, 1), None)


def test_a_paper_is_kept_with_its_end_and_who_saw_it(either: Database, people: cast.Cast) -> None:
    key = uuid4()
    for _ in range(2):
        writes.record_paper(either, DESK, people.learner, CBT, key, TODAY, START)
    with either.reading() as session:
        (paper,) = reads.papers_of(session, people.learner)
    assert paper.seen == CBT
    assert (paper.lapses_on, paper.seen_at) == (date(2028, 6, 1), START)


def test_the_newest_paper_comes_first(either: Database, people: cast.Cast) -> None:
    for year in (2024, 2026, 2025):
        paper = as_seen(PaperKind.THEORY, date(year, 6, 1), None)
        writes.record_paper(either, DESK, people.learner, paper, uuid4(), TODAY, START)
    with either.reading() as session:
        years = [paper.issued_on.year for paper in reads.papers_of(session, people.learner)]
    assert years == [2026, 2025, 2024]


def test_a_paper_that_cannot_be_is_not_kept(either: Database, people: cast.Cast) -> None:
    before_birth = as_seen(PaperKind.CBT, date(1990, 1, 1), None)
    with pytest.raises(Refused, match="before the student was born"):
        writes.record_paper(either, DESK, people.learner, before_birth, uuid4(), TODAY, START)
    with pytest.raises(Missing):
        writes.record_paper(either, DESK, 99, CBT, uuid4(), TODAY, START)
    with either.reading() as session:
        assert reads.papers_of(session, people.learner) == ()
