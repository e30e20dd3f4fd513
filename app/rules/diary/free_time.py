"""What the time of an instructor, a yard or a bike is worth on a day when nothing is in it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from app.rules.diary.axis import Axis, reach
from app.rules.diary.facts import Span
from app.rules.diary.grid import Gap, GapKind
from app.rules.diary.school_days import (
    InstructorDays,
    SchoolCalendar,
    closure_on,
    holiday_on,
    open_spans,
    working_spans,
)
from app.rules.people.days import DAYS

USUAL = (9 * 60, 17 * 60)
"""The minutes of the day that are shown when nobody has said when the school is open: our own."""


@dataclass(frozen=True, slots=True)
class OneDay:
    """A day on an axis, at a school with its calendar. ``own`` is the day's own axis."""

    day: date
    axis: Axis
    own: Axis
    calendar: SchoolCalendar
    zone: ZoneInfo

    def reach(self, span: Span) -> tuple[int, int]:
        """From where to where a time that touches the day reaches."""
        return reach(self.axis, span, self.day, self.zone)

    def hours_of(self, instructor_id: int) -> InstructorDays:
        """When an instructor works; without limits for one of whom nothing is known."""
        return self.calendar.instructors.get(instructor_id) or InstructorDays("")

    def gaps(self, spans: Iterable[Span], kind: GapKind, words: str) -> Iterator[Gap]:
        """The same gap for each of some times."""
        for span in spans:
            yield Gap(*self.reach(span), kind, words)

    def all_day(self, kind: GapKind, words: str) -> Gap:
        """A gap from the beginning to the end of the axis."""
        return Gap(0, self.axis.length, kind, words)

    def lacking(self) -> Iterator[Gap]:
        """What other days on the axis have and this one lacks because its clock changes."""
        for begins, ends in self.axis.lacking(self.own):
            yield Gap(begins, ends, GapKind.NO_TIME, "no such time")

    def open_hours(self) -> tuple[int, int]:
        """The part of the axis that a view of the day shows, sessions apart."""
        usual = (self.axis.place(USUAL[0]), self.axis.place(USUAL[1]))
        if not self.calendar.hours:
            return usual
        places = [self.reach(span) for span in open_spans(self.day, self.calendar, self.zone)]
        return (places[0][0], places[-1][1]) if places else usual


def closed_words(one: OneDay, yard_id: int | None = None) -> str | None:
    """Why the school, or one yard of it, is closed all day; None when it is not."""
    if open_spans(one.day, one.calendar, one.zone, yard_id):
        return None
    if out := closure_on(one.day, one.calendar, yard_id):
        return f"closed: {out.reason}" if out.reason else "closed"
    if holiday := holiday_on(one.day, one.calendar):
        return f"closed: {holiday}"
    return f"closed on a {DAYS[one.day.weekday()]}"


def off_words(one: OneDay, instructor_id: int) -> str | None:
    """Why an instructor does not work all day; None when they do. Reasons are not for a counter."""
    who = one.hours_of(instructor_id)
    if working_spans(one.day, who, one.zone):
        return None
    if any(out.has(one.day) for out in who.days_off):
        return "day off"
    return f"does not work on a {DAYS[one.day.weekday()]}"


def work_words(one: OneDay, instructor_id: int) -> str | None:
    """``works 09:00 to 13:00``; None for an instructor without hours of their own that day."""
    hours = [
        each.words
        for each in one.hours_of(instructor_id).hours
        if each.weekday == one.day.weekday()
    ]
    return f"works {' and '.join(sorted(hours))}" if hours else None


def instructor_time(one: OneDay, instructor_id: int) -> tuple[Gap, ...]:
    """An instructor's day: closed, not working, free. Later ones lie over earlier ones."""
    opened = open_spans(one.day, one.calendar, one.zone)
    works = working_spans(one.day, one.hours_of(instructor_id), one.zone)
    both = [common for a in opened for b in works if (common := a.common(b))]
    return (
        one.all_day(GapKind.CLOSED, "closed"),
        *one.gaps(opened, GapKind.OFF, "not working"),
        *one.gaps(both, GapKind.FREE, "free"),
        *one.lacking(),
    )


def yard_time(one: OneDay, yard_id: int, *, in_use: bool) -> tuple[Gap, ...]:
    """A yard's day: closed or free."""
    opened = open_spans(one.day, one.calendar, one.zone, yard_id) if in_use else ()
    return (
        one.all_day(GapKind.CLOSED, "closed"),
        *one.gaps(opened, GapKind.FREE, "free"),
        *one.lacking(),
    )


def bike_time(one: OneDay, *, on_the_road: bool) -> tuple[Gap, ...]:
    """A bike's day: closed, off the road or free."""
    opened = open_spans(one.day, one.calendar, one.zone)
    kind = GapKind.FREE if on_the_road else GapKind.OFF
    return (
        one.all_day(GapKind.CLOSED, "closed"),
        *one.gaps(opened, kind, "free" if on_the_road else "off the road"),
        *one.lacking(),
    )
