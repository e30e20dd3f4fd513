"""The bank holidays of the school's nation, from the ``holidays`` library."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import lru_cache

import holidays

NATIONS = ("ENG", "WLS", "SCT", "NIR")


def bank_holidays(nation: str, first_day: date, last_day: date) -> Mapping[date, str]:
    """The bank holidays from one day to another, both included; none without a nation.

    A holiday that falls on a weekend is given on its own day and on the day that stands
    in for it. GOV.UK ("UK bank holidays") lists the second alone. A school that trains
    at weekends and closes on bank holidays does not want to train on Christmas Day
    either, whatever day of the week it is.
    """
    years = range(first_day.year, last_day.year + 1)
    return {
        day: name
        for year in years
        for day, name in _of_year(nation, year).items()
        if first_day <= day <= last_day
    }


@lru_cache(maxsize=64)
def _of_year(nation: str, year: int) -> Mapping[date, str]:
    if nation not in NATIONS:
        return {}
    found = holidays.country_holidays("GB", subdiv=nation, years=year)
    return {
        day: name.replace("(observed)", "(substitute day)").replace("'", "’")
        for day, name in sorted(found.items())
    }
