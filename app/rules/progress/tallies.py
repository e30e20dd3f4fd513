"""What went wrong most often in some rides, counted by kind of fault and by side."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

from app.rules.progress.words import FaultTally
from app.rules.riding.cones import fault_name
from app.rules.riding.marking import SpeedResult
from app.rules.riding.values import SeenFault, Severity, Side

MOST_TOLD = 2
"""How many kinds a sentence names: one that lists everything says nothing."""

TOO_SLOW = "too slow"

Seen = tuple[SpeedResult, Sequence[SeenFault]]
"""What the minimum-speed rule said of a ride, and the faults that were seen in it."""

_TOO_SLOW = {
    SpeedResult.RIDING_FAULT: Severity.RIDING,
    SpeedResult.RIDE_AGAIN: Severity.RIDING,
    SpeedResult.SERIOUS: Severity.SERIOUS,
}
"""How grave a missed minimum is. What is ridden again weighs as a riding fault here."""


def tallies(
    rides: Iterable[Seen], names: Mapping[str, str], most: int = MOST_TOLD
) -> tuple[FaultTally, ...]:
    """The faults seen in some rides, the most frequent first; of equals the graver.

    Remarks are not faults and are left out. A minimum speed that was missed
    counts as a fault of its own. ``names`` gives the fault kinds' names by code.
    """
    sides: defaultdict[str, Counter[Side | None]] = defaultdict(Counter)
    gravest: Counter[str] = Counter()
    for speed, seen in rides:
        for name, fault in _named(speed, seen, names):
            sides[name][fault.side] += 1
            gravest[name] = max(gravest[name], list(Severity).index(fault.severity))
    order = sorted(sides, key=lambda name: (-sides[name].total(), -gravest[name], name))
    return tuple(_tally(name, sides[name]) for name in order[:most])


def _named(
    speed: SpeedResult, seen: Sequence[SeenFault], names: Mapping[str, str]
) -> Iterable[tuple[str, SeenFault]]:
    for fault in seen:
        if fault.severity is not Severity.REMARK:
            yield fault_name(fault.kind, names), fault
    if speed in _TOO_SLOW:
        yield TOO_SLOW, SeenFault(TOO_SLOW, _TOO_SLOW[speed])


def _tally(name: str, sides: Counter[Side | None]) -> FaultTally:
    return FaultTally(name, sides.total(), left=sides[Side.LEFT], right=sides[Side.RIGHT])
