"""When, where, with whom and on what somebody rides, as a message says it and as it is compared."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from app.rules.diary.facts import Span
from app.rules.diary.values import SessionKind
from app.rules.diary.words import KINDS


@dataclass(frozen=True, slots=True)
class Appointment:
    """A student's place in a session as they are told of it. Without ``bike_id``: their own."""

    starts_at: datetime
    ends_at: datetime
    kind: SessionKind
    yard_id: int
    yard: str
    instructor_id: int
    instructor: str
    bike_id: int | None
    bike: str | None

    @property
    def span(self) -> Span:
        """Its time."""
        return Span(self.starts_at, self.ends_at)

    def rows(self, zone: ZoneInfo) -> dict[str, str]:
        """What it is in words, by what each thing is called, in the order of reading."""
        return {
            "When": self.span.words(zone),
            "What": KINDS[self.kind],
            "Where": self.yard,
            "Instructor": self.instructor,
            "Bike": self.bike or "your own bike",
        }

    def plain(self) -> dict[str, Any]:
        """What JSON can hold of it; :func:`appointment_from` reads it again."""
        moments = {"starts_at": self.starts_at.isoformat(), "ends_at": self.ends_at.isoformat()}
        return {**asdict(self), "kind": self.kind.value, **moments}

    def same_as(self, other: Appointment) -> bool:
        """Whether both are the same to whoever comes; a yard that got another name is the same."""
        return self._matters() == other._matters()

    def _matters(self) -> tuple[object, ...]:
        return (
            self.starts_at,
            self.ends_at,
            self.kind,
            self.yard_id,
            self.instructor_id,
            self.bike_id,
        )


def appointment_from(plain: dict[str, Any]) -> Appointment:
    """Read an appointment that was kept as plain values."""
    return Appointment(
        **{
            **plain,
            "kind": SessionKind(plain["kind"]),
            "starts_at": datetime.fromisoformat(plain["starts_at"]),
            "ends_at": datetime.fromisoformat(plain["ends_at"]),
        }
    )


def what_changed(before: Appointment, after: Appointment, zone: ZoneInfo) -> dict[str, str]:
    """The rows of ``before`` that are otherwise in ``after``."""
    new = after.rows(zone)
    return {name: value for name, value in before.rows(zone).items() if new[name] != value}
