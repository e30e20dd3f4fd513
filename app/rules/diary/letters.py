"""The words of the email that students get about their bookings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from app.rules.diary.appointments import Appointment, what_changed
from app.rules.diary.clock import day_of, nearest_moment
from app.rules.diary.values import BookingState, GivenUpFor
from app.rules.diary.words import KINDS
from app.rules.letters import Block, Letter, one_line
from app.rules.people.messages import MessageKind
from app.rules.words import count_words, date_words, moment_words

CAUTION = (
    "Riding can hurt. Ride only in protective clothing, and only when the surface and the "
    "weather allow it. What your instructor says on the day and current official guidance "
    "come before anything in this message."
)
"""The usual caution. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Sender:
    """The school that writes: how it is reached, and what it asks of those who come."""

    name: str
    phone: str
    email: str
    zone: ZoneInfo
    bring_and_wear: str
    notice_hours: int

    @property
    def reach(self) -> str:
        """``Ring the school on 01632 960100``, or whichever way there is."""
        if self.phone:
            return f"Ring the school on {self.phone}"
        return f"Write to {self.email}" if self.email else "Tell the school"


def confirmation(school: Sender, name: str, booked: Appointment) -> Letter:
    """A place is booked."""
    return _letter(
        school,
        name,
        f"Booked: {_what(booked, school)}",
        Block(f"You have a place at {school.name}.", rows=booked.rows(school.zone)),
        _bring(school),
        Block(_notice(school)),
        Block(CAUTION),
    )


def change(school: Sender, name: str, before: Appointment, after: Appointment) -> Letter:
    """A booking has changed: what it is now, and what of it was otherwise."""
    return _letter(
        school,
        name,
        f"Changed: {_what(after, school)}",
        Block(f"Your booking at {school.name} has changed."),
        Block(heading="It is now", rows=after.rows(school.zone)),
        Block(heading="It was", rows=what_changed(before, after, school.zone)),
        _bring(school),
        Block(f"{school.reach} if this does not suit you. {_notice(school)}"),
        Block(CAUTION),
    )


def cancellation(
    school: Sender, name: str, gone: Appointment, why: GivenUpFor | None, *, late: bool
) -> Letter:
    """A booking is cancelled. ``late`` by the school's notice rule, for a student's wish alone."""
    return _letter(
        school,
        name,
        f"Cancelled: {_what(gone, school)}",
        Block(_why(school, why, late=late), rows=gone.rows(school.zone)),
        Block(f"{school.reach} to find another time."),
    )


def reminder(school: Sender, name: str, booked: Appointment) -> Letter:
    """A session is soon: when and where, what to bring and wear."""
    day = date_words(day_of(booked.starts_at, school.zone))
    return _letter(
        school,
        name,
        f"Reminder: {_what(booked, school)}",
        Block(f"You ride on {day} at {school.name}.", rows=booked.rows(school.zone)),
        _bring(school),
        Block(f"If you cannot come, tell the school at once. {_ways(school)}".strip()),
        Block(CAUTION),
    )


def offer(school: Sender, name: str, place: Appointment, held_until: datetime) -> Letter:
    """A place has become free and is held for somebody who waits."""
    until = moment_words(held_until, school.zone)
    return _letter(
        school,
        name,
        f"A free place, held until {until}",
        Block(
            f"A place has become free, and {school.name} holds it for you until {until}.",
            rows=place.rows(school.zone),
        ),
        Block(
            f"{school.reach} before then to take it, or to give it to somebody else. "
            "Without a word from you it goes to the next who waits, and you stay on the list."
        ),
        Block(CAUTION),
    )


def course(school: Sender, name: str, title: str, sessions: Sequence[Appointment]) -> Letter:
    """Several sessions are booked in one go."""
    number = count_words(len(sessions), "session")
    first = date_words(day_of(sessions[0].starts_at, school.zone))
    blocks = [
        Block(heading=f"Session {place} of {len(sessions)}", rows=each.rows(school.zone))
        for place, each in enumerate(sessions, start=1)
    ]
    return _letter(
        school,
        name,
        f"Booked: {title}, {number} from {first}",
        Block(f"You have a place in each session of {title} at {school.name}."),
        *blocks,
        _bring(school),
        Block(_notice(school)),
        Block(CAUTION),
    )


def reminder_from(starts_at: datetime, hour: int, zone: ZoneInfo) -> datetime:
    """The moment (UTC) from which a session is reminded of: the day before, at this hour there.

    An hour that the clock skips that day stands for the one after it, an hour that
    comes twice for the first of the two.
    """
    day = day_of(starts_at, zone) - timedelta(days=1)
    return nearest_moment(day, time(hour), zone)


def _letter(school: Sender, name: str, subject: str, *blocks: Block) -> Letter:
    ways = (school.name, school.phone, school.email)
    kept = tuple(block for block in blocks if block.words or block.rows)
    signature = tuple(way for way in ways if way)
    return Letter(one_line(subject), f"Hello {one_line(name)},", kept, signature)


def _what(appointment: Appointment, school: Sender) -> str:
    return f"{KINDS[appointment.kind]}, {moment_words(appointment.starts_at, school.zone)}"


def _bring(school: Sender) -> Block:
    return Block(school.bring_and_wear, heading="What to bring and wear")


def _notice(school: Sender) -> str:
    if not school.notice_hours:
        return "If you cannot come, tell the school as soon as you know."
    hours = count_words(school.notice_hours, "hour")
    return (
        f"If you cannot come, tell the school at least {hours} before it starts. "
        "Later than that counts as a late cancellation."
    )


def _ways(school: Sender) -> str:
    return f"{school.reach}." if school.phone or school.email else ""


def _why(school: Sender, why: GivenUpFor | None, *, late: bool) -> str:
    if why is GivenUpFor.WEATHER:
        return f"{school.name} has cancelled this, since the weather does not allow riding."
    if why is GivenUpFor.SCHOOL:
        return f"{school.name} has had to cancel this, and is sorry for it."
    given_up = "Your place is given up, as you wished." if why else "Your place is cancelled."
    if not late:
        return given_up
    hours = count_words(school.notice_hours, "hour")
    return f"{given_up} That is less than {hours} before it starts, so it counts as late."


def why_not_so(
    kind: MessageKind,
    state: BookingState,
    said: Appointment,
    found: Appointment,
    held_until: datetime | None,
    now: datetime,
) -> str | None:
    """Why a message about a booking is not to be sent any more; None when it says what is so.

    ``said`` is what it says, ``found`` and ``state`` how the booking stands at ``now``.
    """
    if found.starts_at <= now:
        return "The session had begun before this could be sent."
    if kind is MessageKind.CANCELLATION:
        return None if state is BookingState.CANCELLED else "The booking is not cancelled."
    if state is BookingState.CANCELLED:
        return "The booking was cancelled before this was sent."
    if not said.same_as(found):
        return "The booking changed before this was sent."
    if kind is MessageKind.OFFER:
        return _why_no_offer(state, held_until, now)
    return None


def _why_no_offer(state: BookingState, held_until: datetime | None, now: datetime) -> str | None:
    if state is not BookingState.HELD or held_until is None:
        return "The place was booked before this was sent."
    return None if held_until > now else "The place was no longer held when this could be sent."
