"""Rides made by hand: a string of "1" (clean) and "0", a session for each word in it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from app.rules.progress.evidence import Evidence
from app.rules.progress.model import fold, start_variant
from app.rules.progress.parameters import Parameters, Skill
from app.rules.progress.standing import Assessment, assess
from app.rules.progress.target import TargetRule

FIRST_DAY = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
EASY = Parameters(skills={1: Skill(ease=3.0, practice=1.0), 2: Skill(ease=3.0, practice=1.0)})
"""Manoeuvres so easy that the chance alone never stands in the way."""
MIDDLING = Parameters(skills={1: Skill(ease=-0.5, practice=1.0)})
HARD = Parameters(skills={1: Skill(ease=-3.0, practice=0.1)})
"""A manoeuvre so hard that three clean rides do not settle it."""


def rides(words: str, variant_id: int = 1, days_apart: int = 2) -> list[Evidence]:
    """Rides of one variant: "110 11" is three rides in session 1 and two in session 2."""
    made: list[Evidence] = []
    for session, word in enumerate(words.split(), start=1):
        begun = FIRST_DAY + timedelta(days=(session - 1) * days_apart)
        for place, letter in enumerate(word):
            at = begun + timedelta(minutes=5 * place, seconds=variant_id)
            key = f"{variant_id}-{session}-{place:02d}"
            made.append(Evidence(variant_id, session, at, key, letter == "1"))
    return made


def standing_after(
    words: str,
    days: int = 0,
    parameters: Parameters = EASY,
    rule: TargetRule | None = None,
) -> Assessment:
    """Variant 1 assessed so many days after the last of these rides, at the same time of day."""
    ridden = rides(words)
    state = fold(ridden, parameters)
    now = (ridden[-1].ridden_at if ridden else FIRST_DAY) + timedelta(days=days)
    variant = state.variants.get(1) or start_variant(1, parameters)
    return assess(variant, state.general, rule or TargetRule(), parameters, now)
