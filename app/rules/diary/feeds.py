"""What a calendar outside the school is told of the sessions in the diary.

The words of the format are those of RFC 5545. Who a student is goes out as a first
name and an initial only: a calendar is copied to machines that the school does not
run, so it carries no more than an instructor needs to know who is coming.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from app.rules.diary.clock import day_of, span_of
from app.rules.diary.values import BookingState, SessionKind
from app.rules.diary.words import KINDS
from app.rules.settings import SchoolSettings
from app.rules.words import moment_words

DAYS_BACK = 30
"""How many days back a calendar reaches, and how long a cancelled session stays in it."""

DAYS_AHEAD = 365
"""How many days ahead a calendar reaches."""


class EventStatus(StrEnum):
    """Where an event stands (RFC 5545, section 3.8.1.11)."""

    CONFIRMED = "CONFIRMED"
    TENTATIVE = "TENTATIVE"
    CANCELLED = "CANCELLED"


@dataclass(frozen=True, slots=True)
class FeedOwner:
    """Whose calendar it is: a student's, an instructor's, or with neither the school's."""

    student_id: int | None = None
    instructor_id: int | None = None


@dataclass(frozen=True, slots=True)
class FeedEvent:
    """One event of a calendar; the same ``uid`` in every calendar and after every change."""

    uid: str
    sequence: int
    status: EventStatus
    starts_at: datetime
    ends_at: datetime
    summary: str
    location: str
    description: str
    changed_at: datetime | None


@dataclass(frozen=True, slots=True)
class FeedPlace:
    """A student's place as their own calendar shows it. Without ``bike`` they ride their own."""

    booking_id: int
    version: int
    state: BookingState
    held_until: datetime | None
    kind: SessionKind
    starts_at: datetime
    ends_at: datetime
    instructor: str
    yard: str
    bike: str | None
    changed_at: datetime | None


@dataclass(frozen=True, slots=True)
class FeedRider:
    """Someone who takes up a place of a session; ``held`` while it is not booked yet."""

    name: str
    bike: str | None
    held: bool


@dataclass(frozen=True, slots=True)
class FeedSession:
    """A session as the calendars of those who teach and of the school show it."""

    session_id: int
    version: int
    cancelled: bool
    kind: SessionKind
    starts_at: datetime
    ends_at: datetime
    instructor: str
    yard: str
    places: int
    riders: tuple[FeedRider, ...]
    changed_at: datetime | None


def window(now: datetime, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The moments between which a calendar has events: whole days of the school."""
    first = day_of(now, zone) - timedelta(days=DAYS_BACK)
    return span_of(first, DAYS_BACK + DAYS_AHEAD + 1, zone)


def kept_cancelled_since(now: datetime, zone: ZoneInfo) -> datetime:
    """What was cancelled before this moment is left out: every reader has had time to drop it."""
    return window(now, zone)[0]


def booking_uid(calendar_key: str, booking_id: int) -> str:
    """The UID of a student's event, the same for as long as the booking is moved about.

    RFC 5545, section 3.8.4.7, wants it unique in the world; RFC 7986, section 5.3, a UUID
    that tells nothing. It is worked out from the school's own key, so it needs no column.
    """
    return str(uuid5(UUID(calendar_key), f"booking {booking_id}"))


def session_uid(calendar_key: str, session_id: int) -> str:
    """The UID of a session, the same in the instructor's calendar and in the school's."""
    return str(uuid5(UUID(calendar_key), f"session {session_id}"))


_NEW_LINES = dict.fromkeys(map(ord, "\r\x0b\x0c\x85\u2028\u2029"), "\n")


def plain_text(text: str) -> str:
    """Text without what RFC 5545, section 3.3.11, has no place for: control characters.

    Every kind of line end becomes the one that the format knows.
    """
    ended = text.replace("\r\n", "\n").translate(_NEW_LINES)
    return "".join(one for one in ended if one in "\n\t" or unicodedata.category(one) != "Cc")


def one_line(text: str) -> str:
    """The same on one line, for a name or a title."""
    return " ".join(plain_text(text).split())


def short_name(name: str) -> str:
    """``Lena W.`` for Lena Wren. A single name cannot be shortened and stays as it is."""
    words = name.split()
    if len(words) < 2:
        return name.strip()
    initial = _initial(words[-1])
    return f"{words[0]} {initial}." if initial else words[0]


def _initial(word: str) -> str:
    """The first letter with the marks that belong to it; nothing when it has no letter."""
    start = next((n for n, one in enumerate(word) if one.isalnum()), len(word))
    end = start + 1
    while end < len(word) and unicodedata.category(word[end]).startswith("M"):
        end += 1
    return word[start:end]


def student_event(
    place: FeedPlace, school: SchoolSettings, now: datetime, zone: ZoneInfo
) -> FeedEvent:
    """A student's place as an event. A hold whose time is over counts as given up already.

    Writing that down later adds one to the booking's version, so one is added here too:
    the number never goes back.
    """
    lapsed = _has_lapsed(place, now)
    status = EventStatus.CANCELLED if lapsed else _STATUS[place.state]
    return FeedEvent(
        uid=booking_uid(school.calendar_key, place.booking_id),
        sequence=sequence_of(place.version + lapsed),
        status=status,
        starts_at=place.starts_at,
        ends_at=place.ends_at,
        summary=f"{_BEFORE[status]}{KINDS[place.kind]}, {school.school_name}",
        location=f"{place.yard}, {school.school_name}",
        description=_for_student(place, status, school, zone),
        changed_at=newest_of(place.changed_at, place.held_until if lapsed else None),
    )


def sequence_of(version: int) -> int:
    """The SEQUENCE of a record: 0 as made, one more with each change (section 3.8.7.4)."""
    return version - 1


_STATUS = {
    BookingState.HELD: EventStatus.TENTATIVE,
    BookingState.BOOKED: EventStatus.CONFIRMED,
    BookingState.ATTENDED: EventStatus.CONFIRMED,
    BookingState.NO_SHOW: EventStatus.CONFIRMED,
    BookingState.CANCELLED: EventStatus.CANCELLED,
}

_BEFORE = {
    EventStatus.CONFIRMED: "",
    EventStatus.TENTATIVE: "Held for you: ",
    EventStatus.CANCELLED: "Cancelled: ",
}


def _has_lapsed(place: FeedPlace, now: datetime) -> bool:
    until = place.held_until
    return place.state is BookingState.HELD and until is not None and until <= now


def newest_of(*moments: datetime | None) -> datetime | None:
    """The latest of some moments, of which any may be missing."""
    return max((moment for moment in moments if moment is not None), default=None)


def _for_student(
    place: FeedPlace, status: EventStatus, school: SchoolSettings, zone: ZoneInfo
) -> str:
    if status is EventStatus.CANCELLED:
        return _lines("You have no place in this session any more.", _call(school))
    bike = f"on {place.bike}" if place.bike else "on your own bike"
    held = status is EventStatus.TENTATIVE and place.held_until is not None
    until = moment_words(place.held_until, zone) if held and place.held_until else ""
    return _lines(
        f"The place is held for you until {until} and is not booked yet." if held else "",
        f"With {place.instructor} in {place.yard}, {bike}.",
        school.bring_and_wear,
        _call(school),
    )


def _call(school: SchoolSettings) -> str:
    return f"The school’s telephone: {school.school_phone}" if school.school_phone else ""


def _lines(*lines: str) -> str:
    return "\n".join(line for line in lines if line)


def staff_event(one: FeedSession, calendar_key: str, *, whose: bool) -> FeedEvent:
    """A session as an event for those who teach, or with ``whose`` for the whole school."""
    status = EventStatus.CANCELLED if one.cancelled else EventStatus.CONFIRMED
    taken = f"{len(one.riders)} of {one.places}"
    teacher = f" with {one.instructor}" if whose else ""
    gone = one.cancelled
    return FeedEvent(
        uid=session_uid(calendar_key, one.session_id),
        sequence=sequence_of(one.version),
        status=status,
        starts_at=one.starts_at,
        ends_at=one.ends_at,
        summary=f"{_BEFORE[status]}{KINDS[one.kind]}{teacher}{'' if gone else f', {taken}'}",
        location=one.yard,
        description="This session is cancelled." if gone else _for_staff(one),
        changed_at=one.changed_at,
    )


def _for_staff(one: FeedSession) -> str:
    return _lines(*map(_rider, one.riders)) or "Nobody is booked yet."


def _rider(rider: FeedRider) -> str:
    bike = rider.bike or "own bike"
    return f"{short_name(rider.name)}, {bike}{', held' if rider.held else ''}"
