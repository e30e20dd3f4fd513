"""The diary of some days as loaded: what is booked, whose time there is, and when all is open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.diary.axis import Axis, day_axis
from app.rules.diary.clock import span_of
from app.rules.diary.free_time import (
    OneDay,
    bike_time,
    closed_words,
    instructor_time,
    off_words,
    work_words,
    yard_time,
)
from app.rules.diary.grid import Column, Gap, Piece, column, paint
from app.rules.diary.school_days import SchoolCalendar
from app.rules.diary.showing import By, Showing
from app.rules.diary.span_words import on_day, over_change
from app.rules.settings import SchoolSettings
from app.store.diary import school_days
from app.store.diary.blocks import Block, blocks
from app.store.diary.loading import zone_of
from app.store.diary.roster import Member, Roster, roster


@dataclass(frozen=True, slots=True)
class OnDay:
    """A session as it stands on one day: its times in words, and what the clock does to it."""

    block: Block
    times: str
    note: str | None


@dataclass(frozen=True, slots=True)
class Spread:
    """Everything of some days in a row. ``blocks`` are the sessions that touch them, in order."""

    first_day: date
    days: int
    showing: Showing
    blocks: tuple[Block, ...]
    roster: Roster
    calendar: SchoolCalendar
    zone: ZoneInfo
    now: datetime

    def dates(self) -> tuple[date, ...]:
        """The days in order."""
        return tuple(self.first_day + timedelta(days=n) for n in range(self.days))

    def on(self, day: date) -> tuple[Block, ...]:
        """The sessions that touch a day, cancelled ones too."""
        begins, ends = span_of(day, 1, self.zone)
        return tuple(
            each
            for each in self.blocks
            if each.session.starts_at < ends and each.session.ends_at > begins
        )

    def free(self, blocks: Iterable[Block]) -> int:
        """How many places of these sessions can still be taken."""
        lines = (each.session for each in blocks)
        return sum(line.free for line in lines if line.ends_at > self.now and not line.cancelled)

    def one_day(self, day: date, axis: Axis | None = None) -> OneDay:
        """A day on an axis; without one, on its own."""
        own = day_axis(day, self.zone)
        return OneDay(day, axis or own, own, self.calendar, self.zone)

    def has(self, member: Member, day: date) -> tuple[OnDay, ...]:
        """What an instructor, a yard or a bike has on a day; of a session, the bike's own rider."""
        return tuple(
            self._on_day(_part(each, member), day)
            for each in self.on(day)
            if not each.session.cancelled and each.belongs_to(member.showing)
        )

    def _on_day(self, block: Block, day: date) -> OnDay:
        times = on_day(block.span, day, self.zone)
        return OnDay(block, times, over_change(block.span, self.zone))


def spread(
    session: Session,
    first_day: date,
    days: int,
    showing: Showing,
    now: datetime,
    school: SchoolSettings,
) -> Spread:
    """So many days from one on. Eleven queries, however full they are.

    Raises Missing when the instructor, yard or bike that is shown does not exist.
    """
    zone = zone_of(school)
    begins, ends = span_of(first_day, days, zone)
    everyone = roster(session)
    if showing.id is not None:
        everyone.one(showing)
    return Spread(
        first_day,
        days,
        showing,
        blocks(session, begins, ends, now, showing),
        everyone,
        school_days.load(session, first_day, first_day + timedelta(days=days - 1), school),
        zone,
        now,
    )


def _part(block: Block, member: Member) -> Block:
    """A session as far as it concerns a member of the roster."""
    if member.showing.by is not By.BIKE:
        return block
    return replace(block, seats=tuple(s for s in block.seats if s.bike_id == member.id))


def gaps_of(member: Member, one: OneDay) -> tuple[Gap, ...]:
    """What the time of a member is worth on a day, in layers."""
    if member.showing.by is By.INSTRUCTOR:
        return instructor_time(one, member.id)
    if member.showing.by is By.YARD:
        return yard_time(one, member.id, in_use=member.out is None)
    return bike_time(one, on_the_road=member.out is None)


def why_out(member: Member, one: OneDay) -> str | None:
    """Why nothing can be put into a member's whole day, in words; None when something can."""
    if member.out:
        return member.out
    by = member.showing.by
    closed = closed_words(one, member.id if by is By.YARD else None)
    return closed or (off_words(one, member.id) if by is By.INSTRUCTOR else None)


def notes_of(member: Member, one: OneDay) -> tuple[str, ...]:
    """What is said under the name of a member on a day."""
    works = work_words(one, member.id) if member.showing.by is By.INSTRUCTOR else None
    notes = (member.about, why_out(member, one) or works or "")
    return tuple(note for note in notes if note)


def column_of(
    member: Member, one: OneDay, sessions: tuple[OnDay, ...], begins: int, ends: int
) -> Column[OnDay]:
    """A member's day from one place of the axis to another, which hold all its sessions."""
    pieces = [Piece(*one.reach(each.block.span), each) for each in sessions]
    return column(pieces, paint(gaps_of(member, one), begins, ends))
