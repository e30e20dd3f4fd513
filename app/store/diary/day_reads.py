"""A day of the diary as a time grid: a column for each instructor, yard or bike."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from app.rules.diary.axis import DAY, HOUR
from app.rules.diary.free_time import OneDay, closed_words
from app.rules.diary.grid import Placed, Row, rows, window
from app.rules.diary.showing import By, Showing
from app.rules.settings import SchoolSettings
from app.rules.words import count_words
from app.store.diary.lines import SessionLine
from app.store.diary.roster import Member, Roster
from app.store.diary.spread import (
    OnDay,
    Spread,
    column_of,
    notes_of,
    spread,
    why_out,
)


@dataclass(frozen=True, slots=True)
class Head:
    """The head of a column: a member of the roster, or a day of one; ``lanes`` are its width."""

    name: str
    showing: Showing
    day: date
    notes: tuple[str, ...]
    lanes: int
    today: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A time grid: its heads, and its rows with what begins in each. ``hours`` is its height."""

    heads: tuple[Head, ...]
    rows: tuple[Row[OnDay], ...]

    @property
    def hours(self) -> int:
        """Whole hours from the first line to the last."""
        return -(-sum(row.minutes for row in self.rows) // HOUR)

    @property
    def lanes(self) -> int:
        """How many cells stand side by side."""
        return sum(head.lanes for head in self.heads)

    def column(self, number: int) -> tuple[tuple[Row[OnDay], Placed[OnDay]], ...]:
        """The cells of a column from top to bottom, each with the row in which it begins."""
        return tuple(
            (row, placed) for row in self.rows for placed in row.cells if placed.column == number
        )

    def sessions(self, column: int) -> tuple[OnDay, ...]:
        """What stands in a column, in order of time."""
        return tuple(p.cell.what for _, p in self.column(column) if p.cell.what)


@dataclass(frozen=True, slots=True)
class Apart:
    """Those who have no column, with what they have in common in words."""

    words: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DaySheet:
    """One day. ``shown`` is the one member it is narrowed to, if it is."""

    day: date
    showing: Showing
    shown: Member | None
    roster: Roster
    grid: Grid
    notes: tuple[str, ...]
    apart: tuple[Apart, ...]
    cancelled: tuple[SessionLine, ...]
    free: int
    sessions: int


def day_sheet(
    session: Session, day: date, showing: Showing, now: datetime, school: SchoolSettings
) -> DaySheet:
    """A day at the school. Eleven queries; Missing for an unknown instructor, yard or bike."""
    return sheet_of(spread(session, day, 1, showing, now, school), day)


def sheet_of(loaded: Spread, day: date) -> DaySheet:
    """One of the days that were loaded."""
    one = loaded.one_day(day)
    showing = loaded.showing
    columns, apart = _sorted_out(loaded, one)
    all_day = loaded.on(day)
    here = [each for each in all_day if not each.session.cancelled]
    return DaySheet(
        day=day,
        showing=showing,
        shown=loaded.roster.one(showing) if showing.id else None,
        roster=loaded.roster,
        grid=_grid(loaded, one, columns),
        notes=_notes(one),
        apart=apart,
        cancelled=tuple(each.session for each in all_day if each.session.cancelled),
        free=loaded.free(here),
        sessions=len(here),
    )


def _sorted_out(loaded: Spread, one: OneDay) -> tuple[list[Member], tuple[Apart, ...]]:
    """Who gets a column, and what is said of the others."""
    if loaded.showing.id:
        return [loaded.roster.one(loaded.showing)], ()
    columns: list[Member] = []
    apart: list[tuple[str, str]] = []
    for member in loaded.roster.of(loaded.showing.by):
        why = why_out(member, one)
        if loaded.has(member, one.day) or (why is None and member.showing.by is not By.BIKE):
            columns.append(member)
        elif not (member.out and member.showing.by is By.INSTRUCTOR):
            apart.append((why or "not ridden", member.name))
    return columns, () if closed_words(one) else _together(apart)


def _together(apart: Sequence[tuple[str, str]]) -> tuple[Apart, ...]:
    reasons = dict.fromkeys(words for words, _ in apart)
    return tuple(
        Apart(reason, tuple(name for words, name in apart if words == reason)) for reason in reasons
    )


def _grid(loaded: Spread, one: OneDay, members: Iterable[Member]) -> Grid:
    sessions = [(member, loaded.has(member, one.day)) for member in members]
    if not sessions:
        return Grid((), ())
    reaches = [one.reach(each.block.span) for _, having in sessions for each in having]
    places = {place for reach in (*reaches, one.open_hours()) for place in reach}
    begins, ends = window(places, one.axis)
    columns = [column_of(member, one, having, begins, ends) for member, having in sessions]
    heads = tuple(
        Head(member.name, member.showing, one.day, notes_of(member, one), column.lanes)
        for (member, _), column in zip(sessions, columns, strict=True)
    )
    return Grid(heads, rows(columns, one.axis, begins, ends))


def _notes(one: OneDay) -> tuple[str, ...]:
    """What is special about a day."""
    notes = [clock_note(one.own.length)]
    if words := closed_words(one):
        notes.append(f"The school is {words}.")
    elif holiday := one.calendar.holidays.get(one.day):
        notes.append(f"Bank holiday: {holiday}. The school is open.")
    return tuple(note for note in notes if note)


def clock_note(length: int) -> str:
    """What is said of a day of so many minutes; nothing of a usual one."""
    if length == DAY:
        return ""
    way = "back" if length > DAY else "forward"
    hours = count_words(length // HOUR, "hour")
    return f"The clock goes {way} on this day, so it has {hours}."
