"""The words of riding: severities, outcomes, and the facts of one ride."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum


class Severity(StrEnum):
    """How bad a fault is. A remark is the instructor's note and is not a fault."""

    REMARK = "remark"
    RIDING = "riding"
    SERIOUS = "serious"
    DANGEROUS = "dangerous"


class Side(StrEnum):
    """Which side of the riding line a fault happened on."""

    LEFT = "left"
    RIGHT = "right"


class SpeedSource(StrEnum):
    """Where a speed figure came from."""

    GATE = "gate"
    RADAR = "radar"
    DIAL = "dial"


class Outcome(StrEnum):
    """What one ride came to, its faults and its speed taken together."""

    CLEAN = "clean"
    RIDING = "riding"
    SERIOUS = "serious"
    DANGEROUS = "dangerous"
    RIDE_AGAIN = "ride_again"
    UNMEASURED = "unmeasured"


class Cone(StrEnum):
    """How a ride is drawn in the cone strip."""

    STANDING = "standing"
    LEANING = "leaning"
    FALLEN = "fallen"
    OUTLINE = "outline"


@dataclass(frozen=True, slots=True)
class SeenFault:
    """One thing seen in a ride: its kind, how bad it was judged, and the side if it has one."""

    kind: str
    severity: Severity
    side: Side | None = None


@dataclass(frozen=True, slots=True)
class Ride:
    """One ride of one manoeuvre variant as it was recorded.

    ``speed_kmh`` is None where no speed was measured. ``second_try`` says that
    the exercise was ridden again because the first try was too slow.
    """

    ridden_at: datetime
    session_id: int
    variant_id: int
    outcome: Outcome
    faults: tuple[SeenFault, ...] = field(default=())
    speed_kmh: float | None = None
    second_try: bool = False
    struck_out: bool = False
