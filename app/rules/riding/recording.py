"""A ride as it is handed in, and what its facts must be before it is kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID

from app.rules.riding.syllabus import Offer
from app.rules.riding.values import Severity, Side, SpeedSource

FASTEST_KMH = 150.0
MOST_FAULTS = 12
_FLOAT_NOISE = 1e-6
CLOCK_TOLERANCE = timedelta(hours=26)
"""How far ahead of the server a tablet's clock may be before its time is not believed.

A tablet set to the wrong day or zone is common; its rides are kept all the same.
"""


class Word(StrEnum):
    """What became of a ride that was handed in."""

    SAVED = "saved"
    ALREADY_HAD = "already_had"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class NewRide:
    """One ride as it was recorded in the yard. ``speed_kmh`` is in km/h, with one decimal.

    ``mock_test_id`` is the mock test that it belongs to, if any. A ride from a
    tablet's queue names the tablet and its place in that tablet's own sequence;
    ``skew_seconds`` is by how much its time was put right (tablet's clock ahead: above 0).
    """

    attempt_id: UUID
    session_id: int
    student_id: int
    variant_id: int
    ridden_at: datetime
    faults: tuple[NewFault, ...] = field(default=())
    speed_kmh: float | None = None
    speed_source: SpeedSource | None = None
    second_try: bool = False
    mock_test_id: UUID | None = None
    tablet: UUID | None = None
    tablet_seq: int | None = None
    skew_seconds: int = 0


@dataclass(frozen=True, slots=True)
class NewFault:
    """One thing seen, by the code of its kind."""

    kind: str
    severity: Severity
    side: Side | None = None


@dataclass(frozen=True, slots=True)
class RideAnswer:
    """What became of one ride; ``reason`` is a sentence where it was refused."""

    attempt_id: UUID
    word: Word
    reason: str = ""


def objections(ride: NewRide, offered: Mapping[str, Offer], now: datetime) -> Iterator[str]:
    """Why the ride's own facts cannot be kept, as sentences; none when they can.

    ``offered`` are the fault kinds of the ride's manoeuvre by code.
    """
    if ride.ridden_at - now > CLOCK_TOLERANCE:
        yield "The tablet's clock is more than a day ahead. Set it right and send again."
    yield from _about_speed(ride)
    if len(ride.faults) > MOST_FAULTS:
        yield f"Record at most {MOST_FAULTS} things for one ride."
    for fault in ride.faults:
        yield from _about_fault(fault, offered)
    if len({(fault.kind, fault.side) for fault in ride.faults}) < len(ride.faults):
        yield "Record each thing once."


def _about_speed(ride: NewRide) -> Iterator[str]:
    if (ride.speed_kmh is None) != (ride.speed_source is None):
        yield "A speed needs its source, and a source needs a speed."
    if ride.speed_kmh is None:
        return
    if not 0 <= ride.speed_kmh <= FASTEST_KMH:
        yield f"A speed lies between 0 and {FASTEST_KMH:.0f} km/h."
    elif abs(ride.speed_kmh - round(ride.speed_kmh, 1)) > _FLOAT_NOISE:
        # Rounding here could lift a speed over the minimum that it missed.
        yield "Write a speed with at most one decimal."


def _about_fault(fault: NewFault, offered: Mapping[str, Offer]) -> Iterator[str]:
    offer = offered.get(fault.kind)
    if offer is None:
        yield "That fault is not one of this manoeuvre's. Load the page again."
    elif fault.side is not None and not offer.kind.sided:
        yield f"{offer.kind.name} has no left or right."
