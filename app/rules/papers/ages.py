"""The age for each licence category."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from app.rules.categories import Category
from app.rules.papers.answers import Answer, Verdict
from app.rules.papers.lives import years_later
from app.rules.people.ages import birthday
from app.rules.words import date_words

AGE: Mapping[Category, int] = {Category.AM: 16, Category.A1: 17, Category.A2: 19, Category.A: 24}
"""A2 and A: DVSA manual for training bodies, direct access.

AM and A1: common practice, no source.
"""

AGE_BY_PROGRESSION = 21
YEARS_ON_A2 = 2
"""Category A from 21 after two years on A2: DVSA manual for training bodies, direct access."""


def old_enough(
    category: Category, born: date | None, day: date, a2_since: date | None = None
) -> Answer:
    """Whether the student may ride this category on ``day``.

    ``a2_since`` is the day on which a full A2 licence was gained, if one is held.
    """
    if born is None:
        return Answer(Verdict.NOT_KNOWN, "The date of birth is not on file.")
    opens = opens_on(category, born, a2_since)
    age = AGE[category]
    if day >= opens:
        return Answer(Verdict.YES, f"Old enough for category {category} since {date_words(opens)}.")
    return Answer(
        Verdict.NO,
        f"Category {category} starts at {age}{_progression(category)}: "
        f"not before {date_words(opens)}.",
        opens,
    )


def opens_on(category: Category, born: date, a2_since: date | None = None) -> date:
    """The first day on which the student is old enough for the category."""
    by_age = birthday(born, AGE[category])
    if category is not Category.A or a2_since is None:
        return by_age
    progressed = max(birthday(born, AGE_BY_PROGRESSION), years_later(a2_since, YEARS_ON_A2))
    return min(by_age, progressed)


def opens_at_the_earliest(category: Category, born: date) -> date:
    """The first day on which anybody so old could ride the category.

    Whether and when a full A2 licence was gained is not written down, so for category A
    it is taken to be the first day of category A2.
    """
    return opens_on(category, born, a2_since=birthday(born, AGE[Category.A2]))


def _progression(category: Category) -> str:
    return ", or at 21 after two years on A2" if category is Category.A else ""
