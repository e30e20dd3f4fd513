"""The bank holidays that the school keeps, against the lists that GOV.UK publishes.

Source: GOV.UK, "UK bank holidays" (gov.uk/bank-holidays), years 2026 to 2028. The page
itself was not at hand: the dates below were seen in three copies of its data that others
keep, those of 2028 in two of them, and they agree in every date. None is from memory.
"""

from __future__ import annotations

from datetime import date

import pytest

from app.store.diary.holidays import bank_holidays

FIRST, LAST = date(2026, 1, 1), date(2028, 12, 31)

ENGLAND_AND_WALES = """
2026-01-01 2026-04-03 2026-04-06 2026-05-04 2026-05-25 2026-08-31 2026-12-25 2026-12-28
2027-01-01 2027-03-26 2027-03-29 2027-05-03 2027-05-31 2027-08-30 2027-12-27 2027-12-28
2028-01-03 2028-04-14 2028-04-17 2028-05-01 2028-05-29 2028-08-28 2028-12-25 2028-12-26
"""

SCOTLAND = """
2026-01-01 2026-01-02 2026-04-03 2026-05-04 2026-05-25 2026-06-15 2026-08-03 2026-11-30
2026-12-25 2026-12-28
2027-01-01 2027-01-04 2027-03-26 2027-05-03 2027-05-31 2027-08-02 2027-11-30 2027-12-27
2027-12-28
2028-01-03 2028-01-04 2028-04-14 2028-05-01 2028-05-29 2028-08-07 2028-11-30 2028-12-25
2028-12-26
"""

NORTHERN_IRELAND = """
2026-01-01 2026-03-17 2026-04-03 2026-04-06 2026-05-04 2026-05-25 2026-07-13 2026-08-31
2026-12-25 2026-12-28
2027-01-01 2027-03-17 2027-03-26 2027-03-29 2027-05-03 2027-05-31 2027-07-12 2027-08-30
2027-12-27 2027-12-28
2028-01-03 2028-03-17 2028-04-14 2028-04-17 2028-05-01 2028-05-29 2028-07-12 2028-08-28
2028-12-25 2028-12-26
"""

PUBLISHED = [
    ("ENG", ENGLAND_AND_WALES),
    ("WLS", ENGLAND_AND_WALES),
    ("SCT", SCOTLAND),
    ("NIR", NORTHERN_IRELAND),
]


def _days(text: str) -> set[date]:
    return {date.fromisoformat(day) for day in text.split()}


@pytest.mark.parametrize(("nation", "published"), PUBLISHED, ids=[one for one, _ in PUBLISHED])
def test_every_published_bank_holiday_is_kept(nation: str, published: str) -> None:
    assert _days(published) <= set(bank_holidays(nation, FIRST, LAST))


@pytest.mark.parametrize(("nation", "published"), PUBLISHED, ids=[one for one, _ in PUBLISHED])
def test_beyond_the_published_days_only_the_weekend_days_they_stand_in_for_are_kept(
    nation: str, published: str
) -> None:
    """GOV.UK lists the substitute day alone; the school keeps Christmas Day on a Saturday too."""
    kept = bank_holidays(nation, FIRST, LAST)
    beyond = set(kept) - _days(published)
    assert all(day.weekday() >= 5 for day in beyond)
    substitutes = {f"{kept[day]} (substitute day)" for day in beyond}
    assert substitutes == {name for name in kept.values() if name.endswith("(substitute day)")}


def test_the_days_that_a_substitute_stands_in_for() -> None:
    kept = bank_holidays("ENG", date(2026, 12, 26), date(2026, 12, 28))
    assert kept == {
        date(2026, 12, 26): "Boxing Day",
        date(2026, 12, 28): "Boxing Day (substitute day)",
    }


def test_a_school_of_no_nation_keeps_none() -> None:
    assert bank_holidays("", FIRST, LAST) == {}
