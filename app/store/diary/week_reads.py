"""A week of the diary: of all, day by day; of one instructor, yard or bike, as a time grid."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from app.rules.diary.axis import Axis, week_axis
from app.rules.diary.clock import day_of
from app.rules.diary.free_time import OneDay, closed_words, work_words
from app.rules.diary.grid import rows, window
from app.rules.diary.showing import By, Showing
from app.rules.settings import SchoolSettings
from app.store.diary.day_reads import Grid, Head, clock_note
from app.store.diary.lines import SessionLine
from app.store.diary.roster import Member, Roster
from app.store.diary.spread import OnDay, Spread, column_of, notes_of, spread, why_out

DAYS = 7


@dataclass(frozen=True, slots=True)
class WeekCell:
    """What one member has on one day, and what is said of the rest of their day."""

    sessions: tuple[OnDay, ...]
    words: str


@dataclass(frozen=True, slots=True)
class WeekDay:
    """A day of the week with a cell for each member; ``note`` says what is special about it."""

    day: date
    today: bool
    note: str
    cells: tuple[WeekCell, ...]


@dataclass(frozen=True, slots=True)
class Week:
    """A week of all instructors, yards or bikes that have something to do with it."""

    monday: date
    showing: Showing
    roster: Roster
    members: tuple[Member, ...]
    days: tuple[WeekDay, ...]
    cancelled: tuple[SessionLine, ...]
    free: int


@dataclass(frozen=True, slots=True)
class WeekGrid:
    """A week of one instructor, yard or bike."""

    monday: date
    showing: Showing
    roster: Roster
    shown: Member
    grid: Grid
    cancelled: tuple[SessionLine, ...]
    free: int


def week(
    session: Session, monday: date, showing: Showing, now: datetime, school: SchoolSettings
) -> Week | WeekGrid:
    """The seven days from ``monday`` on: a grid when one member is shown. Eleven queries.

    Raises Missing when the instructor, yard or bike that is shown does not exist.
    """
    loaded = spread(session, monday, DAYS, showing, now, school)
    return week_of(loaded) if showing.id is None else _grid_of(loaded)


def week_of(loaded: Spread) -> Week:
    """The days that were loaded, of everyone."""
    members = tuple(m for m in loaded.roster.of(loaded.showing.by) if _takes_part(m, loaded))
    return Week(
        monday=loaded.first_day,
        showing=loaded.showing,
        roster=loaded.roster,
        members=members,
        days=tuple(_day(loaded, day, members) for day in loaded.dates()),
        cancelled=_cancelled(loaded),
        free=loaded.free(loaded.blocks),
    )


def _takes_part(member: Member, loaded: Spread) -> bool:
    usable = member.out is None and member.showing.by is not By.BIKE
    return usable or any(loaded.has(member, day) for day in loaded.dates())


def _day(loaded: Spread, day: date, members: tuple[Member, ...]) -> WeekDay:
    one = loaded.one_day(day)
    closed = closed_words(one)
    holiday = loaded.calendar.holidays.get(day)
    notes = (clock_note(one.own.length), closed or holiday or "")
    return WeekDay(
        day=day,
        today=day == day_of(loaded.now, loaded.zone),
        note=" ".join(note for note in notes if note),
        cells=tuple(_cell(loaded, one, member, closed=bool(closed)) for member in members),
    )


def _cell(loaded: Spread, one: OneDay, member: Member, *, closed: bool) -> WeekCell:
    sessions = loaded.has(member, one.day)
    why = why_out(member, one)
    if closed or (sessions and not why):
        return WeekCell(sessions, "")
    return WeekCell(sessions, why or _idle(one, member))


def _idle(one: OneDay, member: Member) -> str:
    """What is said of a day in which nothing stands, and something could."""
    if member.showing.by is By.BIKE:
        return "not ridden"
    works = work_words(one, member.id) if member.showing.by is By.INSTRUCTOR else None
    return f"free, {works}" if works else "free"


def _grid_of(loaded: Spread) -> WeekGrid:
    shown = loaded.roster.one(loaded.showing)
    own = [loaded.one_day(day) for day in loaded.dates()]
    axis = week_axis([each.own for each in own])
    return WeekGrid(
        monday=loaded.first_day,
        showing=loaded.showing,
        roster=loaded.roster,
        shown=shown,
        grid=_grid(loaded, axis, shown),
        cancelled=_cancelled(loaded),
        free=loaded.free(loaded.blocks),
    )


def _grid(loaded: Spread, axis: Axis, shown: Member) -> Grid:
    days = [loaded.one_day(day, axis) for day in loaded.dates()]
    sessions = [(one, loaded.has(shown, one.day)) for one in days]
    reaches = [one.reach(each.block.span) for one, having in sessions for each in having]
    hours = [one.open_hours() for one in days if not closed_words(one)] or [days[0].open_hours()]
    begins, ends = window({place for reach in (*reaches, *hours) for place in reach}, axis)
    columns = [column_of(shown, one, having, begins, ends) for one, having in sessions]
    heads = tuple(
        _head(loaded, one, shown, column.lanes) for one, column in zip(days, columns, strict=True)
    )
    return Grid(heads, rows(columns, axis, begins, ends))


def _head(loaded: Spread, one: OneDay, shown: Member, lanes: int) -> Head:
    notes = [note for note in notes_of(shown, one) if note != shown.about]
    clock = clock_note(one.own.length)
    today = one.day == day_of(loaded.now, loaded.zone)
    said = (*notes, clock) if clock else tuple(notes)
    return Head("", loaded.showing, one.day, said, lanes, today)


def _cancelled(loaded: Spread) -> tuple[SessionLine, ...]:
    return tuple(each.session for each in loaded.blocks if each.session.cancelled)
