"""What the rules of the diary are told. Moments are aware; people and places have their names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from app.rules.categories import Category
from app.rules.diary.values import SessionKind
from app.rules.people.authorisations import Authorisation
from app.rules.refusal import Reason
from app.rules.words import date_words, time_words


@dataclass(frozen=True, slots=True)
class Span:
    """From a moment up to, but not including, another."""

    starts_at: datetime
    ends_at: datetime

    def overlaps(self, other: Span) -> bool:
        """Whether the two share a moment. One that ends as the other begins does not."""
        return self.starts_at < other.ends_at and other.starts_at < self.ends_at

    def common(self, other: Span) -> Span | None:
        """The time that both share; None when they do not overlap."""
        if not self.overlaps(other):
            return None
        return Span(max(self.starts_at, other.starts_at), min(self.ends_at, other.ends_at))

    def words(self, zone: ZoneInfo) -> str:
        """``Thu 3 Dec 2026, 14:30 to 16:30``."""
        day = date_words(self.starts_at.astimezone(zone).date())
        return f"{day}, {time_words(self.starts_at, zone)} to {time_words(self.ends_at, zone)}"


@dataclass(frozen=True, slots=True)
class Plan:
    """A session as somebody wants it."""

    span: Span
    places: int
    kind: SessionKind = SessionKind.MODULE_1


@dataclass(frozen=True, slots=True)
class YardState:
    """The yard that a session wants; sides in metres, ``places`` as its owner set them."""

    name: str
    length_m: float
    width_m: float
    places: int
    open: bool
    id: int = 0


@dataclass(frozen=True, slots=True)
class InstructorState:
    """The instructor whom a session wants."""

    name: str
    active: bool
    id: int = 0


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another session that is not cancelled."""

    span: Span
    yard: str
    instructor: str
    places: int
    same_yard: bool
    same_instructor: bool
    on_road: bool = False


@dataclass(frozen=True, slots=True)
class Teacher:
    """Who gives a session: for each authorisation on file its last day, None where unknown."""

    name: str
    authorisations: Mapping[Authorisation, date | None]


@dataclass(frozen=True, slots=True)
class SessionState:
    """A session as it stands, with the places that bookings hold, and who gives it.

    Without ``teacher`` nothing is asked about whom the instructor may teach. ``against``
    is what forbids the session itself since it was made: a closure, a day off.
    """

    span: Span
    yard: str
    places: int
    taken: int
    cancelled: bool
    teacher: Teacher | None = None
    against: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Rider:
    """The student whom a booking is for."""

    name: str
    category: Category
    born: date | None
    has_guardian: bool


@dataclass(frozen=True, slots=True)
class BikeState:
    """The bike that a booking wants."""

    label: str
    category: Category
    off_road_reason: str | None


@dataclass(frozen=True, slots=True)
class Held:
    """A place that a booking holds: when, where, and by whom on which bike.

    ``same_session`` says that it lies in the very session that is asked about.
    """

    span: Span
    yard: str
    student: str
    bike: str | None
    same_student: bool
    same_bike: bool
    same_session: bool


@dataclass(frozen=True, slots=True)
class SessionWish:
    """A session as it was typed: the day and the times are the school's own."""

    yard_id: int
    instructor_id: int
    kind: SessionKind
    day: date
    starts: time
    ends: time
    places: int
    remarks: str = ""
