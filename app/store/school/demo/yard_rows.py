"""What the yard adds to the demo: a safety check of each past session, and codes to hand over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from typing import Any

from app.rules.riding.safety import checks
from app.rules.yards.area import YardFacts, riders_at_once
from app.store.school.demo.data import DemoSchool
from app.store.school.demo.history import DemoBooking
from app.store.school.demo.plan import PlannedSession

_BEFORE = timedelta(minutes=5)


def safety_checks(
    school: DemoSchool,
    plan: Iterable[PlannedSession],
    bookings: Iterable[DemoBooking],
    recorder: dict[int, int],
) -> Iterator[dict[str, Any]]:
    """A check for each session before today; ``recorder`` gives instructors' accounts by number."""
    booked = [booking.session.id for booking in bookings]
    for session in plan:
        if session.day < 0:
            yard = school.yards[session.yard]
            limit = riders_at_once(YardFacts(yard["length_m"], yard["width_m"]))
            yield {
                "session_id": session.id,
                "confirmed_by": recorder[session.instructor],
                "confirmed_at": session.starts_at - _BEFORE,
                "checks": list(checks(session.kind, limit, booked.count(session.id))),
            }


def codes(recorder: dict[int, int], code_hash: str, opened: datetime) -> Iterator[dict[str, Any]]:
    """The demo's code for everyone who teaches."""
    for account in recorder.values():
        yield {"account_id": account, "code_hash": code_hash, "set_at": opened}
