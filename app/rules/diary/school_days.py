"""When the school is open and its instructors work.

What nobody has written down forbids nothing: a school without opening hours is open
at any time, an instructor without hours works whenever it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.clock import day_of, nearest_moment, span_of
from app.rules.diary.facts import InstructorState, Span, YardState
from app.rules.people.authorisations import Authorisation
from app.rules.people.days import DAYS, DaysOut, WeeklyHours
from app.rules.refusal import Reason
from app.rules.words import date_words


@dataclass(frozen=True, slots=True)
class InstructorDays:
    """When one instructor works, and what they may teach.

    ``authorisations`` has what is on file: until which day, that day included, or
    None where no end was written down.
    """

    name: str = "The instructor"
    hours: tuple[WeeklyHours, ...] = ()
    days_off: tuple[DaysOut, ...] = ()
    authorisations: Mapping[Authorisation, date | None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SchoolCalendar:
    """All that bears on when there is training in a range of days.

    ``closures`` are the school's and those of single yards, ``holidays`` the bank
    holidays of the school's nation by day, ``instructors`` everyone by id. Between two
    sessions of one instructor lies ``turnaround`` in one yard and ``travel`` between two.
    """

    hours: tuple[WeeklyHours, ...] = ()
    closures: tuple[DaysOut, ...] = ()
    holidays: Mapping[date, str] = field(default_factory=dict)
    open_on_bank_holidays: bool = False
    turnaround: timedelta = timedelta()
    travel: timedelta = timedelta()
    instructors: Mapping[int, InstructorDays] = field(default_factory=dict)

    def of(self, instructor: InstructorState) -> InstructorDays:
        """When an instructor works; without limits for one of whom nothing is known."""
        return self.instructors.get(instructor.id) or InstructorDays(instructor.name)

    @property
    def longest_gap(self) -> timedelta:
        """The most time that must lie between two sessions of one instructor."""
        return max(self.turnaround, self.travel)

    def gap(self, *, same_yard: bool) -> timedelta:
        """The time that must lie between two sessions of one instructor."""
        return self.turnaround if same_yard else self.travel


ANY_TIME = SchoolCalendar()
"""A school of which nothing has been written down."""


def open_spans(
    day: date, calendar: SchoolCalendar, zone: ZoneInfo, yard_id: int | None = None
) -> tuple[Span, ...]:
    """When the school is open on a day, in order; with ``yard_id``, that yard. None if closed."""
    if closure_on(day, calendar, yard_id) or holiday_on(day, calendar):
        return ()
    return _spans(day, calendar.hours, zone)


def working_spans(day: date, instructor: InstructorDays, zone: ZoneInfo) -> tuple[Span, ...]:
    """When an instructor works on a day as far as they are concerned, in order."""
    if _first(instructor.days_off, day):
        return ()
    return _spans(day, instructor.hours, zone)


def why_not_open(
    span: Span, yard: YardState, calendar: SchoolCalendar, zone: ZoneInfo
) -> tuple[Reason, ...]:
    """Every reason why this yard of the school is not open for all of a time."""
    return tuple(
        reason for piece in _by_day(span, zone) for reason in _not_open(piece, yard, calendar, zone)
    )


def _not_open(
    piece: Span, yard: YardState, calendar: SchoolCalendar, zone: ZoneInfo
) -> Iterator[Reason]:
    day = day_of(piece.starts_at, zone)
    if out := closure_on(day, calendar, yard.id):
        who = "The school" if out.yard_id is None else yard.name
        where = "day" if out.yard_id is None else "yard_id"
        yield Reason(f"{who} is closed {_days(out)}{_because(out)}.", where)
    elif holiday := holiday_on(day, calendar):
        yield Reason(
            f"{date_words(day)} is a bank holiday ({holiday}), and the school is closed then.",
            "day",
        )
    else:
        weekday = f"on a {DAYS[day.weekday()]}"
        hours = tuple(each for each in calendar.hours if each.weekday == day.weekday())
        if calendar.hours and not hours:
            yield Reason(f"The school is closed {weekday}.", "day")
        elif at := _outside(piece, _spans(day, calendar.hours, zone)):
            yield Reason(f"The school is open {_hours(hours)} {weekday}.", at)


def why_not_working(span: Span, instructor: InstructorDays, zone: ZoneInfo) -> tuple[Reason, ...]:
    """Every reason why an instructor does not work for all of a time."""
    return tuple(
        reason for piece in _by_day(span, zone) for reason in _not_working(piece, instructor, zone)
    )


def _not_working(piece: Span, instructor: InstructorDays, zone: ZoneInfo) -> Iterator[Reason]:
    day = day_of(piece.starts_at, zone)
    hours = tuple(each for each in instructor.hours if each.weekday == day.weekday())
    weekday = f"on a {DAYS[day.weekday()]}"
    if out := _first(instructor.days_off, day):
        # The reason for a day off is nobody's business but the desk's: it is not said here.
        yield Reason(f"{instructor.name} is off {_days(out)}.", "instructor_id")
    elif instructor.hours and not hours:
        yield Reason(f"{instructor.name} does not work {weekday}.", "instructor_id")
    elif at := _outside(piece, _spans(day, instructor.hours, zone)):
        yield Reason(f"{instructor.name} works {_hours(hours)} {weekday}.", at)


def open_warnings(span: Span, calendar: SchoolCalendar, zone: ZoneInfo) -> tuple[str, ...]:
    """What the desk should know of a time at which the school is open: a bank holiday."""
    days = (day_of(piece.starts_at, zone) for piece in _by_day(span, zone))
    return tuple(
        f"{date_words(day)} is a bank holiday ({calendar.holidays[day]}). "
        "The school’s settings say that it is open."
        for day in days
        if day in calendar.holidays and calendar.open_on_bank_holidays
    )


def closure_on(day: date, calendar: SchoolCalendar, yard_id: int | None) -> DaysOut | None:
    """The closure on a day: the school's own before that of one yard."""
    ours = [out for out in calendar.closures if out.yard_id in (None, yard_id)]
    return _first(sorted(ours, key=lambda out: out.yard_id is not None), day)


def _first(outs: Iterable[DaysOut], day: date) -> DaysOut | None:
    return next((out for out in outs if out.has(day)), None)


def holiday_on(day: date, calendar: SchoolCalendar) -> str | None:
    """The bank holiday on a day, for a school that is closed then."""
    return None if calendar.open_on_bank_holidays else calendar.holidays.get(day)


def _spans(day: date, hours: tuple[WeeklyHours, ...], zone: ZoneInfo) -> tuple[Span, ...]:
    """The hours of a day as moments, those that touch as one; all day when no hours are known."""
    if not hours:
        return (Span(*span_of(day, 1, zone)),)
    today = sorted((h.begins, h.ends) for h in hours if h.weekday == day.weekday())
    spans: list[Span] = []
    for begins, ends in today:
        # Where the clock shows a time twice, the hours begin at the first and end at the second.
        one = Span(nearest_moment(day, begins, zone), nearest_moment(day, ends, zone, fold=1))
        if spans and one.starts_at <= spans[-1].ends_at:
            one = Span(spans[-1].starts_at, max(spans.pop().ends_at, one.ends_at))
        spans.append(one)
    return tuple(spans)


def _by_day(span: Span, zone: ZoneInfo) -> Iterator[Span]:
    """A time cut at each midnight at the school."""
    begins = span.starts_at
    while begins < span.ends_at:
        _, midnight = span_of(day_of(begins, zone), 1, zone)
        yield Span(begins, min(midnight, span.ends_at))
        begins = midnight


def _outside(piece: Span, spans: Iterable[Span]) -> str:
    """The field that is wrong when a time lies in none of these; empty when it lies in one."""
    spans = tuple(spans)
    if any(s.starts_at <= piece.starts_at and piece.ends_at <= s.ends_at for s in spans):
        return ""
    begins_well = any(s.starts_at <= piece.starts_at < s.ends_at for s in spans)
    return "ends" if begins_well else "starts"


def _hours(hours: Iterable[WeeklyHours]) -> str:
    said = [f"from {each.words}" for each in sorted(hours, key=lambda each: each.begins)]
    return " and ".join(said)


def _days(out: DaysOut) -> str:
    if out.first_day == out.last_day:
        return f"on {date_words(out.first_day)}"
    return f"from {date_words(out.first_day)} to {date_words(out.last_day)}"


def _because(out: DaysOut) -> str:
    return f": {out.reason.rstrip('.')}" if out.reason else ""
