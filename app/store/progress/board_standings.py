"""What the riders of a session are flagged for, all at once, for the board."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.progress.model import variant_of
from app.rules.progress.standing import Assessment, assess
from app.rules.progress.words import STANDING_WORDS
from app.rules.settings import SchoolSettings
from app.store.progress.picture import target_of
from app.store.progress.states import load_states, parameters

Standings = Mapping[int, Mapping[int, str]]
"""By student and variant: the standing in words for each variant that is flagged, weakest first."""


def flagged_on_board(
    session: Session,
    students: Collection[int],
    variants: Collection[int],
    now: datetime,
    settings: SchoolSettings,
) -> Standings:
    """What each student is flagged for among the variants. Three queries.

    What was ridden comes first, the smaller chance of a clean ride before the larger; then
    what never was, in the order of ``variants``.
    """
    fixed, rule = parameters(session), target_of(settings)
    at_school = now.astimezone(ZoneInfo(settings.time_zone))
    found: dict[int, dict[int, str]] = {}
    for student, state in load_states(session, students, fixed).items():
        judged = [
            assess(
                variant_of(state, variant, fixed),
                state.general, rule, fixed, at_school,
            )
            for variant in variants
        ]  # fmt: skip
        found[student] = _flagged(judged)
    return found


def _flagged(judged: Collection[Assessment]) -> dict[int, str]:
    ordered = sorted(judged, key=lambda one: (not one.rides, one.chance if one.rides else 0))
    return {one.variant_id: STANDING_WORDS[one.standing] for one in ordered if one.flagged}
