"""Which manoeuvres to practise next, and why these.

The order can be said in one breath: what was steady and only needs a refresh
gets one place; then what is being worked on, the lowest chance first; one new
manoeuvre at a time, in the order of the syllabus; and where nothing is flagged,
what is nearest to being lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from app.rules.progress.standing import Assessment
from app.rules.progress.target import Standing


class Cause(StrEnum):
    """Why a manoeuvre was picked."""

    LEAST_SURE = "least_sure"
    REFRESH = "refresh"
    NEXT_NEW = "next_new"
    KEEP_FRESH = "keep_fresh"


CAUSE_WORDS = {
    Cause.LEAST_SURE: "among those with most to gain",
    Cause.REFRESH: "ridden well before, and due again",
    Cause.NEXT_NEW: "next in the syllabus",
    Cause.KEEP_FRESH: "steady, and worth keeping so",
}


@dataclass(frozen=True, slots=True)
class Candidate:
    """One manoeuvre by its weakest variant; ``place`` is its place in the syllabus."""

    manoeuvre_id: int
    place: int
    assessment: Assessment


@dataclass(frozen=True, slots=True)
class Priority:
    """One thing to practise and why it was picked."""

    candidate: Candidate
    cause: Cause


def priorities(candidates: Sequence[Candidate], count: int = 3) -> tuple[Priority, ...]:
    """At most ``count`` different manoeuvres to practise, the first first."""
    working = _picked(candidates, {Standing.WORKING, Standing.NEARLY}, Cause.LEAST_SURE)
    refresh = _picked(candidates, {Standing.REFRESH}, Cause.REFRESH)
    new = _picked(candidates, {Standing.NOT_RIDDEN}, Cause.NEXT_NEW)
    new.sort(key=lambda pick: (pick.candidate.place, pick.candidate.manoeuvre_id))
    keep = _picked(candidates, {Standing.STEADY}, Cause.KEEP_FRESH)
    reserved = (refresh[:1] + new[:1])[: max(0, count - 1)] if working else refresh[:1] + new[:1]
    chosen = working[: max(0, count - len(reserved))] + reserved
    rest = [pick for pick in working + refresh + new + keep if pick not in chosen]
    return tuple((chosen + rest)[:count])


def _picked(
    candidates: Sequence[Candidate], standings: set[Standing], cause: Cause
) -> list[Priority]:
    chosen = [one for one in candidates if one.assessment.standing in standings]
    chosen.sort(key=lambda one: (one.assessment.chance, one.place, one.manoeuvre_id))
    return [Priority(one, cause) for one in chosen]
