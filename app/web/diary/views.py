"""What a view of the diary is asked to show, and the choices for the next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from flask import request, url_for

from app.rules.diary.showing import SCHOOL, By, Showing, showing_of
from app.rules.refusal import Missing
from app.store.diary.roster import Roster

_ALL = {
    By.INSTRUCTOR: "Everyone, by instructor",
    By.YARD: "All yards",
    By.BIKE: "All bikes",
}
_GROUPS = {By.INSTRUCTOR: "One instructor", By.YARD: "One yard", By.BIKE: "One bike"}


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that a view can show."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Group:
    """Choices under one heading; the first group has none."""

    label: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class Moves:
    """Addresses around a view, for the same things; at ``make`` one of them gets a session."""

    earlier: str
    later: str
    today: str
    tomorrow: str
    next_week: str
    other: str
    make: str


def asked_showing(name: str = "of") -> Showing:
    """What the address asks to show: the whole school unless it says; Missing for nonsense."""
    typed = request.args.get(name, "")
    found = showing_of(typed) if typed else SCHOOL
    if found is None:
        raise Missing
    return found


def address(endpoint: str, on: date, showing: Showing) -> str:
    """The address of a view; the whole school is not named in it."""
    of = None if showing == SCHOOL else showing.word
    return url_for(endpoint, on=on.isoformat(), of=of)


def moves(endpoint: str, on: date, today: date, showing: Showing, step: int) -> Moves:
    """Where to go from a view of the day ``on``, ``step`` days of which are a page."""
    other = "diary.week" if endpoint == "diary.day" else "diary.day"

    def there(day: date) -> str:
        return address(endpoint, day, showing)

    return Moves(
        earlier=there(on - timedelta(days=step)),
        later=there(on + timedelta(days=step)),
        today=there(today),
        tomorrow=there(today + timedelta(days=1)),
        next_week=there(today + timedelta(days=7)),
        other=address(other, on, showing),
        make=_new_session(max(on, today), showing),
    )


def _new_session(on: date, showing: Showing) -> str:
    who = showing.id if showing.by is By.INSTRUCTOR else None
    where = showing.id if showing.by is By.YARD else None
    return url_for("diary.new_session", on=on.isoformat(), instructor=who, yard=where)


def choices(roster: Roster, showing: Showing) -> tuple[Group, ...]:
    """All that a view can show, what it shows now chosen."""
    every = [Choice(Showing(by).word, words, showing == Showing(by)) for by, words in _ALL.items()]
    return (Group("", tuple(every)), *_groups(roster, showing))


def _groups(roster: Roster, showing: Showing) -> Iterator[Group]:
    for by, label in _GROUPS.items():
        found = tuple(_offered(roster, by, showing))
        if found:
            yield Group(label, found)


def _offered(roster: Roster, by: By, showing: Showing) -> Iterable[Choice]:
    """Those in use, and the one that is shown even when it is not."""
    for each in roster.of(by):
        if each.out is None or by is By.BIKE or each.showing == showing:
            yield Choice(each.showing.word, each.name, each.showing == showing)
