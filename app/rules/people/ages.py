"""How old someone is on a day."""

from __future__ import annotations

from datetime import date

OF_AGE = 18
"""Family Law Reform Act 1969, section 1: a person is of full age at eighteen."""


def birthday(born: date, age: int) -> date:
    """The day on which someone born on ``born`` reaches ``age``, in whole years.

    An age is reached at the beginning of the anniversary of the birth (Family Law
    Reform Act 1969, section 9). Someone born on 29 February has none in a common
    year and is counted from 1 March, the later and so the more careful of the two
    days (common practice, no source).
    """
    year = born.year + age
    try:
        return born.replace(year=year)
    except ValueError:
        return date(year, 3, 1)


def age_on(born: date, day: date) -> int:
    """Whole years of age on a day; below zero before the birth."""
    years = day.year - born.year
    return years if day >= birthday(born, years) else years - 1


def needs_guardian(born: date | None, day: date) -> bool:
    """Whether a guardian must be on file on that day. Not while the date of birth is unknown."""
    return born is not None and age_on(born, day) < OF_AGE
