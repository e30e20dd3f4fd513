"""Hours of the week and days out, by the school's own clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
"""The days of the week in the order of their numbers, 0 for Monday."""


@dataclass(frozen=True, slots=True)
class WeeklyHours:
    """A time of every week; ``weekday`` 0 is Monday. It ends on the day on which it begins."""

    weekday: int
    begins: time
    ends: time

    @property
    def words(self) -> str:
        """``09:00 to 17:00``."""
        return f"{self.begins:%H:%M} to {self.ends:%H:%M}"


@dataclass(frozen=True, slots=True)
class DaysOut:
    """Days without training, both ends included, and why.

    ``yard_id`` names the one yard that is closed and ``instructor_id`` the one instructor
    who is off; without either it is the whole school. Days off that stand with their
    instructor anyway need not name them.
    """

    first_day: date
    last_day: date
    reason: str = ""
    yard_id: int | None = None
    instructor_id: int | None = None

    def has(self, day: date) -> bool:
        """Whether the day is one of them."""
        return self.first_day <= day <= self.last_day
