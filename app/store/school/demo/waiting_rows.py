"""Who waits in the demo school: for kinds of session that its diary has none of yet."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from app.rules.diary.values import SessionKind, WaitingState
from app.store.school.demo.rows import DESK_ACCOUNT, Row

_WAITS = (
    (5, SessionKind.ROAD, "0123456", None),
    (17, SessionKind.MOCK_TEST, "56", None),
    (31, SessionKind.ROAD, "124", time(13)),
)
"""Student, what for, on which days of the week and from when on."""


def waiting(today: date, now: datetime) -> Iterator[Row]:
    """Their requests, each a day after the one before; the last yesterday."""
    for place, (student, kind, weekdays, begins) in enumerate(_WAITS):
        yield {
            "student_id": student,
            "kind": kind,
            "earliest": today,
            "latest": today + timedelta(days=42),
            "weekdays": weekdays,
            "begins": begins,
            "own_bike": False,
            "asked_at": now - timedelta(days=len(_WAITS) - place),
            "asked_by": DESK_ACCOUNT,
            "state": WaitingState.WAITING,
            "version": 1,
        }
