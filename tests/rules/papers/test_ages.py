"""The age for each licence category."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.rules.categories import Category
from app.rules.papers.ages import old_enough, opens_on
from app.rules.papers.answers import Verdict

BORN = date(2008, 2, 29)


@pytest.mark.parametrize(
    ("category", "opens"),
    [
        (Category.AM, date(2024, 2, 29)),
        (Category.A1, date(2025, 3, 1)),
        (Category.A2, date(2027, 3, 1)),
        (Category.A, date(2032, 2, 29)),
    ],
)
def test_a_category_opens_on_the_birthday(category: Category, opens: date) -> None:
    before = old_enough(category, BORN, opens - timedelta(days=1))
    assert (before.verdict, before.changes_on) == (Verdict.NO, opens)
    after = old_enough(category, BORN, opens)
    assert (after.verdict, after.changes_on) == (Verdict.YES, None)


@pytest.mark.parametrize(
    ("a2_since", "opens"),
    [
        (date(2027, 3, 1), date(2029, 3, 1)),  # 21 and two years on A2 on the same day
        (date(2027, 9, 1), date(2029, 9, 1)),  # 21 first, then the two years
        (date(2031, 1, 1), date(2032, 2, 29)),  # 24 comes before the two years are over
        (None, date(2032, 2, 29)),
    ],
)
def test_category_a_opens_at_21_after_two_years_on_a2(a2_since: date | None, opens: date) -> None:
    assert opens_on(Category.A, BORN, a2_since) == opens


def test_a2_held_opens_nothing_but_a() -> None:
    assert opens_on(Category.A2, BORN, date(2020, 1, 1)) == date(2027, 3, 1)


def test_the_age_is_not_known_without_a_date_of_birth() -> None:
    answer = old_enough(Category.AM, None, date(2026, 11, 26))
    assert answer.verdict is Verdict.NOT_KNOWN
    assert "not on file" in answer.reason


def test_the_reason_names_the_day() -> None:
    answer = old_enough(Category.A, BORN, date(2026, 11, 26))
    assert answer.reason == (
        "Category A starts at 24, or at 21 after two years on A2: not before Sun 29 Feb 2032."
    )
