"""How old someone is, the guardian that follows from it, and the day that is not in every year."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.people.ages import age_on, birthday, needs_guardian

DAYS = st.dates(date(1920, 1, 1), date(2040, 12, 31))


@pytest.mark.parametrize(
    ("born", "day", "age"),
    [
        (date(2008, 11, 27), date(2026, 11, 26), 17),
        (date(2008, 11, 27), date(2026, 11, 27), 18),
        (date(2008, 2, 29), date(2026, 2, 28), 17),
        (date(2008, 2, 29), date(2026, 3, 1), 18),
        (date(2008, 2, 29), date(2028, 2, 28), 19),
        (date(2008, 2, 29), date(2028, 2, 29), 20),
        (date(2026, 11, 26), date(2026, 11, 26), 0),
        (date(2026, 11, 27), date(2026, 11, 26), -1),
    ],
)
def test_an_age_is_reached_on_the_anniversary(born: date, day: date, age: int) -> None:
    assert age_on(born, day) == age


@given(born=DAYS, age=st.integers(0, 90))
def test_the_birthday_is_the_first_day_of_an_age(born: date, age: int) -> None:
    day = birthday(born, age)
    assert age_on(born, day) == age
    assert age_on(born, day - timedelta(days=1)) == age - 1


def test_a_guardian_is_needed_up_to_the_eighteenth_birthday() -> None:
    born = date(2008, 11, 27)
    assert needs_guardian(born, date(2026, 11, 26))
    assert not needs_guardian(born, date(2026, 11, 27))


def test_a_guardian_is_not_asked_for_while_the_age_is_unknown() -> None:
    assert not needs_guardian(None, date(2026, 11, 26))
