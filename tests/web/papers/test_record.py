"""Writing a paper down at the desk."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.store.database import Database
from app.store.papers.reads import papers_of
from tests.support.cast import Cast
from tests.support.client import Visitor

Visit = Callable[[str | None], Visitor]


def _path(people: Cast) -> str:
    return f"/students/{people.learner}/papers/new"


def test_a_certificate_is_written_down_and_its_end_follows(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    page = desk.send(_path(people), {"kind": "cbt", "issued_on": "2026-06-01"})
    assert "The CBT certificate is written down." in page.text
    assert "CBT certificate , issued Mon 1 Jun 2026 lapses Thu 1 Jun 2028" in page.text
    assert "No CBT certificate" not in page.text
    with database.reading() as session:
        assert papers_of(session, people.learner)[0].seen_by == "Dev Rook"


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("kind", "passport", "Choose one from the list."),
        ("issued_on", "", "Write the day on which it was issued."),
        ("issued_on", "2026-06-31", "Write a day that exists"),
        ("issued_on", "2026-11-27", "still to come"),
        ("issued_on", "9999-12-31", "still to come"),
        ("issued_on", "1990-01-01", "before the student was born"),
        ("issued_on", "0001-01-01", "before the student was born"),
        ("lapses_on", "2026-06-01", "has to end after"),
        ("lapses_on", "2030-01-01", "counts for 2 years"),
        ("lapses_on", "later", "Write a day that exists"),
    ],
)
def test_a_paper_that_cannot_be_is_refused_at_its_field(
    visit: Visit, database: Database, people: Cast, field: str, typed: str, sentence: str
) -> None:
    values = {"kind": "cbt", "issued_on": "2026-06-01"} | {field: typed}
    page = visit("desk").send(_path(people), values, status=422)
    assert sentence in page.error_beside(field)
    with database.reading() as session:
        assert papers_of(session, people.learner) == ()


def test_a_form_sent_twice_writes_down_one_paper(
    visit: Visit, database: Database, people: Cast
) -> None:
    desk = visit("desk")
    page = desk.get(_path(people))
    for _ in range(2):
        desk.submit(page, {"issued_on": "2026-06-01"})
    with database.reading() as session:
        assert len(papers_of(session, people.learner)) == 1


def test_a_student_who_is_not_there_has_no_papers(visit: Visit) -> None:
    visit("desk").get("/students/999/papers/new", status=404)


def test_an_instructor_writes_no_papers_down(visit: Visit, people: Cast) -> None:
    visit("instructor").get(_path(people), status=403)
