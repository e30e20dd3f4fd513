"""How the chance of passing moved from session to session."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from app.rules.progress.evidence import Evidence, in_order
from app.rules.progress.model import start, step
from app.rules.progress.prospects import Counts, School, whole_test
from app.rules.progress.readiness import pass_chance
from app.rules.progress.state import LearnerState

MOST_STOPS = 20
"""How many sessions a picture shows, the latest."""


@dataclass(frozen=True, slots=True)
class Stop:
    """The chance of passing right after the last ride of one session."""

    session_id: int
    at: datetime
    chance: float
    rides: int


def journey(
    rides: Iterable[Evidence], school: School, own: Counts, most: int = MOST_STOPS
) -> tuple[Stop, ...]:
    """A student's chance after each of the last sessions, by what is known of faults today.

    Rides may be given in any order. A session that another one interrupts stands twice.
    """
    state = start(school.parameters)
    reached: list[tuple[Sequence[Evidence], LearnerState]] = []
    for _, ridden in groupby(in_order(rides), key=lambda ride: ride.session_id):
        session = list(ridden)
        for ride in session:
            state = step(state, ride, school.parameters)
        reached.append((session, state))
    return tuple(_stop(session, after, school, own) for session, after in reached[-most:])


def _stop(ridden: Sequence[Evidence], state: LearnerState, school: School, own: Counts) -> Stop:
    chance = school.results.of(pass_chance(*whole_test(state, school, own)))
    return Stop(ridden[-1].session_id, ridden[-1].ridden_at, chance, len(ridden))
