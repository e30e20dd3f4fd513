"""Whether those who are booked in a session may be in it as it would be after a change."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from zoneinfo import ZoneInfo

from app.rules.diary.bookings import why_not_hold
from app.rules.diary.facts import BikeState, Rider, SessionState
from app.rules.refusal import Reason


def why_not_take_along(
    session: SessionState, riders: Iterable[tuple[Rider, BikeState | None]], zone: ZoneInfo
) -> tuple[Reason, ...]:
    """Every reason of their age, their guardian and who would teach them, each told once.

    ``session`` is as it would be. That a bike is off the road stands in the way of
    nothing here: the desk is told of it anyway.
    """
    empty = replace(session, taken=0)
    said = [
        reason.sentence
        for rider, bike in riders
        for reason in why_not_hold(
            empty, rider, replace(bike, off_road_reason=None) if bike else None, (), zone
        )
    ]
    return tuple(Reason(sentence) for sentence in dict.fromkeys(said))
