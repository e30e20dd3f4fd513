"""The axis of a time grid: the minutes of a day as the school's clock shows them, in order.

A day on which the clock goes back has an hour twice, and both stand on the axis; one
on which it goes forward lacks an hour. In a week that has such a day all days share
one axis, on which what a day lacks is a gap of that day alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.clock import span_of
from app.rules.diary.facts import Span

DAY = 24 * 60
HOUR = 60
_STEP = timedelta(minutes=15)  # the clocks of the world change at quarter hours


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one minute of the day up to, not including, another, as a clock on the wall shows it.

    ``again`` is a time that comes a second time because the clock went back.
    """

    begins: int
    ends: int
    again: bool = False

    @property
    def length(self) -> int:
        """Minutes."""
        return self.ends - self.begins


@dataclass(frozen=True, slots=True)
class Axis:
    """Stretches one after another. A place on it is the number of minutes from its beginning."""

    stretches: tuple[Stretch, ...]

    @property
    def length(self) -> int:
        """Minutes of the whole axis: 1500 on the day on which the clock goes back an hour."""
        return sum(each.length for each in self.stretches)

    def at(self, moment: datetime, zone: ZoneInfo) -> int:
        """The place of a moment of one of the axis's days. A part of a minute is left out."""
        local = moment.astimezone(zone)
        return self.place(local.hour * HOUR + local.minute, again=bool(local.fold))

    def place(self, minute: int, *, again: bool = False) -> int:
        """The place of a minute of the day; where it is not on the axis, of the next that is."""
        found = [
            begins + max(0, minute - each.begins)
            for begins, each in self._placed()
            if each.again == again and minute < each.ends
        ]
        return found[0] if found else self.length

    def ticks(self, every: int) -> tuple[int, ...]:
        """The places at which the clock shows a multiple of so many minutes, and both ends."""
        inside = {
            begins + minute - each.begins
            for begins, each in self._placed()
            for minute in range(-(-each.begins // every) * every, each.ends, every)
        }
        return tuple(sorted(inside | {0, self.length}))

    def clock(self, place: int) -> tuple[int, bool]:
        """The minute of the day that the clock shows at a place, and whether for the second time.

        The end of the axis is the end of its last day, 1440.
        """
        for begins, each in self._placed():
            if place < begins + each.length:
                return each.begins + place - begins, each.again
        return self.stretches[-1].ends, self.stretches[-1].again

    def lacking(self, other: Axis) -> tuple[tuple[int, int], ...]:
        """From where to where this axis has what the day of ``other`` lacks."""
        gaps = [
            (begins + low - each.begins, begins + high - each.begins)
            for begins, each in self._placed()
            for low, high in _without(each, other.stretches)
        ]
        return tuple(gaps)

    def _placed(self) -> Iterator[tuple[int, Stretch]]:
        begins = 0
        for each in self.stretches:
            yield begins, each
            begins += each.length


def clock_words(minute: int, *, again: bool = False) -> str:
    """``14:30``; ``01:30 again`` for the second time on one day."""
    return f"{minute // HOUR:02}:{minute % HOUR:02}{' again' if again else ''}"


def day_axis(day: date, zone: ZoneInfo) -> Axis:
    """The axis of one day: 24 hours, and 25 or 23 when the clock changes."""
    begins, ends = span_of(day, 1, zone)
    local = begins.astimezone(zone)
    first = local.hour * HOUR + local.minute
    change = _change(begins, ends, zone)
    before = first + _minutes(change - begins)
    if change == ends:
        return _axis(Stretch(first, before))
    local = change.astimezone(zone)
    after = local.hour * HOUR + local.minute
    if after > before:
        return _axis(Stretch(first, before), Stretch(after, DAY))
    return _axis(Stretch(first, before), Stretch(after, before, again=True), Stretch(before, DAY))


def week_axis(days: Sequence[Axis]) -> Axis:
    """One axis for several days: all of 24 hours, and whatever one of the days has again."""
    stretches: list[Stretch] = []
    begins = 0
    for twice in sorted({s for day in days for s in day.stretches if s.again}, key=_ends):
        stretches += [Stretch(begins, twice.ends), twice]
        begins = twice.ends
    return _axis(*stretches, Stretch(begins, DAY))


def reach(axis: Axis, span: Span, day: date, zone: ZoneInfo) -> tuple[int, int]:
    """From where to where on the axis a time reaches that touches a day, cut to that day."""
    begins, ends = span_of(day, 1, zone)
    low = axis.at(span.starts_at, zone) if span.starts_at > begins else 0
    high = axis.at(span.ends_at, zone) if span.ends_at < ends else axis.length
    return low, high


def _ends(stretch: Stretch) -> int:
    return stretch.ends


def _axis(*stretches: Stretch) -> Axis:
    return Axis(tuple(each for each in stretches if each.length > 0))


def _change(begins: datetime, ends: datetime, zone: ZoneInfo) -> datetime:
    """The moment at which the clock changes within a day; its end when it does not."""
    offset = begins.astimezone(zone).utcoffset()
    moment = ends if ends - begins == timedelta(days=1) else begins
    while moment < ends and moment.astimezone(zone).utcoffset() == offset:
        moment += _STEP
    return min(moment, ends)


def _minutes(length: timedelta) -> int:
    return int(length.total_seconds()) // 60


def _without(stretch: Stretch, others: Sequence[Stretch]) -> Iterator[tuple[int, int]]:
    """What of a stretch none of the others has."""
    low = stretch.begins
    for each in others:
        if each.again == stretch.again and each.ends > low and each.begins < stretch.ends:
            if each.begins > low:
                yield low, each.begins
            low = each.ends
    if low < stretch.ends:
        yield low, stretch.ends
