"""What went wrong most often in some rides, counted by kind of fault and by side."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

from app.rules.progress.words import FaultTally
from app.rules.riding.cones import fault_name
from app.rules.riding.marking import FROM_BEST_TO_WORST, faults_outcome
from app.rules.riding.values import Outcome, SeenFault, Severity, Side

MOST_TOLD = 2
"""How many kinds a sentence names: one that lists everything says nothing."""

TOO_SLOW = "too slow"

Seen = tuple[Outcome, Sequence[SeenFault]]


def tallies(
    rides: Iterable[Seen], names: Mapping[str, str], most: int = MOST_TOLD
) -> tuple[FaultTally, ...]:
    """The faults seen in some rides, the most frequent first; of equals the graver.

    Remarks are not faults and are left out. A minimum speed that was missed
    counts as a fault of its own. ``names`` gives the fault kinds' names by code.
    """
    sides: defaultdict[str, Counter[Side | None]] = defaultdict(Counter)
    gravest: Counter[str] = Counter()
    for outcome, seen in rides:
        for name, fault in _named(outcome, seen, names):
            sides[name][fault.side] += 1
            gravest[name] = max(gravest[name], list(Severity).index(fault.severity))
    order = sorted(sides, key=lambda name: (-sides[name].total(), -gravest[name], name))
    return tuple(_tally(name, sides[name]) for name in order[:most])


def _named(
    outcome: Outcome, seen: Sequence[SeenFault], names: Mapping[str, str]
) -> Iterable[tuple[str, SeenFault]]:
    for fault in seen:
        if fault.severity is not Severity.REMARK:
            yield fault_name(fault.kind, names), fault
    if too_slow(outcome, seen):
        grave = Severity.SERIOUS if outcome is Outcome.SERIOUS else Severity.RIDING
        yield TOO_SLOW, SeenFault(TOO_SLOW, grave)


def too_slow(outcome: Outcome, seen: Iterable[SeenFault]) -> bool:
    """Whether the speed made the ride worse than its faults did."""
    rank = FROM_BEST_TO_WORST.index
    return outcome is not Outcome.UNMEASURED and rank(outcome) > rank(faults_outcome(seen))


def _tally(name: str, sides: Counter[Side | None]) -> FaultTally:
    return FaultTally(name, sides.total(), left=sides[Side.LEFT], right=sides[Side.RIGHT])
