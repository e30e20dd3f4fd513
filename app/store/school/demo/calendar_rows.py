"""When the demo school is open and its instructors work, as rows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import Any

from app.rules.people.authorisations import Authorisation
from app.rules.settings import SchoolSettings
from app.store.columns import Base
from app.store.diary.holidays import bank_holidays
from app.store.people.tables import AuthorisationRow, DayOffRow, InstructorHoursRow
from app.store.school.demo.plan import COMING_DAYS, PAST_DAYS
from app.store.school.demo.rows import Row, Rows
from app.store.yards.tables import ClosureRow, OpeningHoursRow

_OWNER_ACCOUNT = 1


def holidays(today: date) -> Mapping[date, str]:
    """The bank holidays within the demo's weeks."""
    first, last = today - timedelta(days=PAST_DAYS), today + timedelta(days=COMING_DAYS)
    return bank_holidays(SchoolSettings().nation, first, last)


def all_rows(maker: Rows) -> Iterator[tuple[type[Base], Iterator[Row]]]:
    """Each table of hours, closures and authorisations with its rows."""
    yield OpeningHoursRow, _opening(maker)
    yield ClosureRow, _closures(maker)
    yield InstructorHoursRow, _hours(maker)
    yield DayOffRow, _days_off(maker)
    yield AuthorisationRow, _authorisations(maker)


def _with_today(weekdays: list[int], maker: Rows) -> list[int]:
    """The weekdays of the file, and today's: whoever looks around finds the school at work."""
    return sorted({*weekdays, maker.today.weekday()})


def _opening(maker: Rows) -> Iterator[Row]:
    opening = maker.school.opening
    for weekday in _with_today(opening["weekdays"], maker):
        yield {"weekday": weekday, "opens": opening["opens"], "closes": opening["closes"]}


def _closures(maker: Rows) -> Iterator[Row]:
    for closure in maker.school.closures:
        yield {
            "yard_id": closure.get("yard"),
            "first_day": maker.today + timedelta(days=closure["from_day"]),
            "last_day": maker.today + timedelta(days=closure["to_day"]),
            "reason": closure["reason"],
            "noted_by": _OWNER_ACCOUNT,
            "noted_at": maker.opened,
        }


def _teaching(maker: Rows) -> Iterator[tuple[int, dict[str, Any]]]:
    ids = {row["name"]: row["id"] for row in maker.instructors()}
    for person in maker.school.staff:
        if person["name"] in ids:
            yield ids[person["name"]], person


def _hours(maker: Rows) -> Iterator[Row]:
    for number, person in _teaching(maker):
        for weekday in _with_today(person["weekdays"], maker):
            hours = {"begins": person["begins"], "ends": person["ends"]}
            yield {"instructor_id": number, "weekday": weekday, **hours}


def _days_off(maker: Rows) -> Iterator[Row]:
    for number, person in _teaching(maker):
        if "off" in person:
            first, last = person["off"]
            yield {
                "instructor_id": number,
                "first_day": maker.today + timedelta(days=first),
                "last_day": maker.today + timedelta(days=last),
                "reason": "",
                "noted_by": _OWNER_ACCOUNT,
                "noted_at": maker.opened,
            }


def _authorisations(maker: Rows) -> Iterator[Row]:
    for number, person in _teaching(maker):
        for kind, days in person["authorised"].items():
            yield {
                "instructor_id": number,
                "kind": Authorisation(kind),
                "expires_on": maker.today + timedelta(days=days),
            }
