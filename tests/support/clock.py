"""The time in tests: it stands still until a test moves it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

START = datetime(2026, 11, 26, 9, 0, tzinfo=UTC)
"""A Thursday morning, in winter time, so that the clock on the wall says the same."""

LONDON = ZoneInfo("Europe/London")
"""Where the schools of the tests are."""


class Clock:
    """A clock that a test holds in its hand."""

    def __init__(self, moment: datetime = START) -> None:
        self.moment = moment

    def __call__(self) -> datetime:
        """The time it shows."""
        return self.moment

    def forward(self, **by: float) -> None:
        """Move on by days, hours, minutes or seconds."""
        self.moment += timedelta(**by)
