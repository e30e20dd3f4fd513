"""Short ways to write down a diary for the tests of its rules."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from app.rules.categories import Category
from app.rules.diary.facts import (
    BikeState,
    Held,
    InstructorState,
    Neighbour,
    Plan,
    Rider,
    SessionState,
    Span,
    YardState,
)

LONDON = ZoneInfo("Europe/London")
DAY = date(2026, 12, 3)
NOW = datetime(2026, 11, 26, 9, 0, tzinfo=UTC)
YARD = YardState("Long yard", 130, 45, places=4, open=True)
INES = InstructorState("Ines Heron", active=True)
LENA = Rider("Lena Wren", Category.A2, date(1998, 5, 17), has_guardian=False)
BIKE = BikeState("Bike 1", Category.A2, None)


def at(clock: str, day: date = DAY) -> datetime:
    """A moment by the school's clock in winter time."""
    return datetime.combine(day, time.fromisoformat(clock), UTC)


def span(times: str, day: date = DAY) -> Span:
    """A span written as ``09:00-11:00``."""
    begins, ends = times.split("-")
    return Span(at(begins, day), at(ends, day))


def plan(times: str = "09:00-11:00", places: int = 4) -> Plan:
    """A session that somebody wants."""
    return Plan(span(times), places)


def neighbour(times: str, places: int = 4, *, yard: bool = False, who: bool = False) -> Neighbour:
    """Another session: in the same yard, with the same instructor, or neither."""
    return Neighbour(span(times), "Long yard", "Ines Heron", places, yard, who)


def session(taken: int = 0, places: int = 4, *, cancelled: bool = False) -> SessionState:
    """A session from 09:00 to 11:00."""
    return SessionState(span("09:00-11:00"), "Long yard", places, taken, cancelled)


def held(times: str, *, student: bool = False, bike: bool = False, inside: bool = False) -> Held:
    """A place that somebody holds: the same student, the same bike, in the same session."""
    name = "Lena Wren" if student else "Stan Crake"
    return Held(span(times), "Short yard", name, "Bike 1", student, bike, inside)
