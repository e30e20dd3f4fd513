"""What the screen of what is affected proposes when nobody chooses otherwise."""

from __future__ import annotations

from app.rules.diary.replanning import Lost
from app.store.diary.affected import Affected, AffectedSession
from app.store.diary.moving import Target
from app.store.diary.replanning import Decision, DropIt, Reseat, SwapIt


def first_proposals(shown: Affected) -> list[Decision]:
    """The first proposal for each session and each rider."""
    return [made for one in shown.sessions for made in _first(shown, one)]


def _first(shown: Affected, one: AffectedSession) -> list[Decision]:
    if one.swaps:
        return [SwapIt(one.id, one.version, one.swaps[0].instructor_id, one.swaps[0].yard_id)]
    made: list[Decision] = []
    for rider in one.riders:
        way = rider.ways[0] if rider.ways else None
        target = Target(way.session_id, way.bike_id) if way and way.session_id else None
        made.append(Reseat(rider.booking_id, rider.version, target, waits=target is None))
    return made if shown.trouble.lost is Lost.BIKE else [*made, DropIt(one.id, one.version)]
