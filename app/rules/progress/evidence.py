"""What one counted ride says about a student: clean or not, of what, and when."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from app.rules.riding.marking import counts_as_evidence, is_clean
from app.rules.riding.values import Ride


@dataclass(frozen=True, slots=True)
class Evidence:
    """One ride that counts, reduced to what the progress rules need.

    ``ridden_at`` is an aware instant (kept in UTC). ``key`` is the ride's own
    identity (its UUID as text): it orders two rides of the same instant, so that
    the order never depends on which of them arrived first.
    """

    variant_id: int
    session_id: int
    ridden_at: datetime
    key: str
    clean: bool

    @property
    def place(self) -> tuple[datetime, str]:
        """Where the ride stands in the student's history: sort by this."""
        return (self.ridden_at, self.key)


def in_order(evidences: Iterable[Evidence]) -> list[Evidence]:
    """The rides in the order in which they were ridden, whatever the order of arrival."""
    return sorted(evidences, key=lambda evidence: evidence.place)


def evidence_of(ride: Ride, key: str) -> Evidence | None:
    """What a recorded ride says, or None where it does not count (struck out, not measured)."""
    if not counts_as_evidence(ride.outcome, ride.struck_out):
        return None
    return Evidence(ride.variant_id, ride.session_id, ride.ridden_at, key, is_clean(ride.outcome))
