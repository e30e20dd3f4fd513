"""The rides of a batch at the moments that their tablet's own sequence gives them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.rules.riding.handed_in import Item
from app.rules.riding.recording import CLOCK_TOLERANCE, NewRide
from app.rules.riding.tablet_order import put_in_order
from app.store.riding.tables import AttemptRow


def in_tablet_order(session: Session, items: Sequence[Item], now: datetime) -> list[Item]:
    """The items of one tablet, the times of its rides put right (one query).

    By how much is noted with each ride. A time beyond belief is left as it is:
    such a ride is refused.
    """
    rides = [item for item in items if isinstance(item, NewRide) and _is_placed(item, now)]
    if not rides:
        return list(items)
    sent = {ride.tablet_seq or 0: ride.ridden_at for ride in rides}
    moments = put_in_order(sent, _neighbours(session, rides[0].tablet, sent), now)
    moved = {ride.attempt_id: _moved(ride, moments) for ride in rides}
    return [moved.get(i.attempt_id, i) if isinstance(i, NewRide) else i for i in items]


def _is_placed(ride: NewRide, now: datetime) -> bool:
    return ride.tablet is not None and ride.ridden_at - now <= CLOCK_TOLERANCE


def _moved(ride: NewRide, moments: dict[int, datetime]) -> NewRide:
    moment = moments.get(ride.tablet_seq or 0, ride.ridden_at)
    ahead = round((ride.ridden_at - moment).total_seconds())
    return replace(ride, ridden_at=moment, skew_seconds=ride.skew_seconds + ahead)


def _neighbours(
    session: Session, tablet: UUID | None, numbers: Iterable[int]
) -> dict[int, datetime]:
    """What the tablet has sent before between these numbers, and next to them on either side."""
    seq, own = AttemptRow.tablet_seq, AttemptRow.tablet == tablet
    low, high = min(numbers), max(numbers)
    below = select(func.max(seq)).where(own, seq < low).scalar_subquery()
    above = select(func.min(seq)).where(own, seq > high).scalar_subquery()
    found = session.execute(
        select(seq, AttemptRow.ridden_at).where(
            own, seq.between(func.coalesce(below, low), func.coalesce(above, high))
        )
    )
    return {number: at for number, at in found if number is not None}
