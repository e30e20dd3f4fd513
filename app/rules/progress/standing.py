"""Steady or not: the rule that anyone can check, and why a manoeuvre is flagged.

*Steady*: the last rides were clean, at least three of them, ridden in at least
two different sessions, the last no more than 21 days ago, and the chance that
the next is clean is at least 0.80. The four numbers are the owner's. More clean
rides never make a steady manoeuvre unsteady: the sessions are counted over the
whole unbroken run of clean rides.

*Needs a refresh*: it would be steady had no day passed since the last ride.
*Nearly there*: one clean ride now, in a session of its own, would make it steady.
*Working on it*: ridden, and none of these. *Not yet ridden*: no ride counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from app.rules.progress.evidence import Evidence
from app.rules.progress.model import Terms, days_between, step_pair, terms
from app.rules.progress.parameters import Parameters
from app.rules.progress.state import KEPT, GeneralState, VariantState
from app.rules.progress.target import (
    FewSessions,
    LowChance,
    NeverRidden,
    Reason,
    ShortRun,
    Standing,
    TargetRule,
    TooLongAgo,
)

RECENT = 5
"""How many of the last rides a reason counts the clean ones in."""

ANOTHER_SESSION = -1
"""A session id that no session has."""


@dataclass(frozen=True, slots=True)
class Assessment:
    """One variant's standing at one moment, the chance opened into terms, and the reasons.

    ``reasons`` is empty when steady; otherwise what takes the most rides to put
    right comes first. ``days`` is in whole calendar days, None before any ride.
    """

    variant_id: int
    standing: Standing
    terms: Terms
    reasons: tuple[Reason, ...]
    rides: int
    clean: int
    of_last: int
    days: int | None

    @property
    def chance(self) -> float:
        """The chance that a ride now is clean."""
        return self.terms.chance

    @property
    def flagged(self) -> bool:
        """Whatever is not steady is flagged."""
        return self.standing is not Standing.STEADY


@dataclass(frozen=True, slots=True)
class _Look:
    """One variant seen at one moment by one rule."""

    general: GeneralState
    variant: VariantState
    rule: TargetRule
    parameters: Parameters
    now: datetime
    days: int

    def chance(self) -> float:
        return self.terms().chance

    def fresh_chance(self) -> float:
        return terms(self.general, self.variant, self.parameters).chance

    def terms(self) -> Terms:
        elapsed = days_between(self.variant.last_at, self.now)
        idle = days_between(self.general.last_at, self.now)
        return terms(self.general, self.variant, self.parameters, elapsed, idle)

    def enough_run(self) -> bool:
        return (
            self.variant.run >= self.rule.clean_in_a_row
            and len(self.variant.run_sessions) >= self.rule.over_sessions
        )

    def one_short_of_a_run(self) -> bool:
        """Whether the run is long enough, or would be after one more in another session."""
        return (
            self.variant.run + 1 >= self.rule.clean_in_a_row
            and len(self.variant.run_sessions) + 1 >= self.rule.over_sessions
        )

    def after_clean_ride(self, session_id: int) -> _Look:
        ride = Evidence(self.variant.variant_id, session_id, self.now, "", clean=True)
        general, variant = step_pair(self.general, self.variant, ride, self.parameters)
        return _Look(general, variant, self.rule, self.parameters, self.now, days=0)

    def is_steady(self) -> bool:
        recent = self.days <= self.rule.within_days
        return self.enough_run() and recent and self.chance() >= self.rule.chance

    def would_be_steady_today(self) -> bool:
        return self.enough_run() and self.fresh_chance() >= self.rule.chance


def assess(
    variant: VariantState,
    general: GeneralState,
    rule: TargetRule,
    parameters: Parameters,
    now: datetime,
) -> Assessment:
    """The standing of one variant at ``now``, an aware instant in the school's time zone.

    Days are calendar days where the school is: a ride yesterday evening was 1 day ago.
    """
    days = _calendar_days(variant.last_at, now)
    look = _Look(general, variant, rule, parameters, now, days or 0)
    clean, of_last = variant.clean_of_last(RECENT)
    return Assessment(
        variant_id=variant.variant_id,
        standing=_standing(look),
        terms=look.terms(),
        reasons=_reasons(look),
        rides=variant.rides,
        clean=clean,
        of_last=of_last,
        days=days,
    )


def standing_of(
    variant: VariantState,
    general: GeneralState,
    rule: TargetRule,
    parameters: Parameters,
    now: datetime,
) -> Standing:
    """The standing alone, as :func:`assess` gives it, for lists of many students."""
    days = _calendar_days(variant.last_at, now) or 0
    return _standing(_Look(general, variant, rule, parameters, now, days))


def weakest(assessments: Iterable[Assessment]) -> Assessment:
    """The variant that a manoeuvre is judged by; ValueError where there is none."""
    return min(assessments, key=lambda one: (one.standing.rank, one.chance, one.variant_id))


def _calendar_days(earlier: datetime | None, now: datetime) -> int | None:
    if earlier is None:
        return None
    return max(0, (now.date() - earlier.astimezone(now.tzinfo).date()).days)


def _standing(look: _Look) -> Standing:
    if look.variant.rides == 0:
        return Standing.NOT_RIDDEN
    if not look.one_short_of_a_run():
        return Standing.WORKING
    if look.is_steady():
        return Standing.STEADY
    if look.would_be_steady_today():
        return Standing.REFRESH
    if look.after_clean_ride(ANOTHER_SESSION).is_steady():
        return Standing.NEARLY
    return Standing.WORKING


def _reasons(look: _Look) -> tuple[Reason, ...]:
    rule, variant = look.rule, look.variant
    if variant.rides == 0:
        return (NeverRidden(rides_needed=rule.clean_in_a_row),)
    found: list[Reason] = []
    if variant.run < rule.clean_in_a_row:
        found.append(ShortRun(variant.run, rule.clean_in_a_row, *variant.clean_of_last(RECENT)))
    if len(variant.run_sessions) < rule.over_sessions and variant.run > 0:
        found.append(FewSessions(len(variant.run_sessions), rule.over_sessions, variant.run))
    if look.chance() < rule.chance:
        found.append(_low_chance(look))
    if look.days > rule.within_days:
        found.append(TooLongAgo(look.days, rule.within_days))
    return tuple(sorted(found, key=lambda reason: -reason.rides_needed))


def _low_chance(look: _Look) -> LowChance:
    needed = look.rule.chance
    by_days = look.fresh_chance() >= needed
    return LowChance(look.chance(), needed, by_days, _rides_to_chance(look))


def _rides_to_chance(look: _Look) -> int:
    """Clean rides now until the chance is high enough, counted to at most KEPT."""
    for rides in range(1, KEPT):
        look = look.after_clean_ride(ANOTHER_SESSION)
        if look.chance() >= look.rule.chance:
            return rides
    return KEPT
