"""What is known of one student after the rides so far, without any clock in it.

The general state is one per student, the variant state one per student and
manoeuvre variant. Both turn into plain values that JSON keeps exactly (a float
is written so that reading it gives the same float), and back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

KEPT = 10
"""How many of the last outcomes and sessions are kept: the longest run an owner can ask for."""


@dataclass(frozen=True, slots=True)
class GeneralState:
    """A student over all manoeuvres: two normal beliefs on the logit scale, and the last ride.

    The general level stays; the form is how the last few rides went, and fades.
    """

    mean: float
    variance: float
    form_mean: float
    form_variance: float
    rides: int = 0
    last_at: datetime | None = None
    last_key: str = ""

    def comes_after(self, ridden_at: datetime, key: str) -> bool:
        """Whether a ride at this instant, with this key, follows all rides counted so far."""
        return self.last_at is None or (ridden_at, key) > (self.last_at, self.last_key)


@dataclass(frozen=True, slots=True)
class VariantState:
    """What is known of one student on one manoeuvre variant.

    ``recent`` holds the last outcomes, oldest first, "1" for clean and "0" for
    not. ``run`` counts the clean rides since the last that was not, and
    ``run_sessions`` the different sessions they were ridden in (at most KEPT).
    """

    variant_id: int
    mean: float
    variance: float
    rides: int = 0
    clean_rides: int = 0
    run: int = 0
    run_sessions: tuple[int, ...] = ()
    recent: str = ""
    last_at: datetime | None = None

    def clean_of_last(self, count: int) -> tuple[int, int]:
        """How many of the last ``count`` rides were clean, and how many rides that is."""
        last = self.recent[-count:]
        return last.count("1"), len(last)


@dataclass(frozen=True, slots=True)
class LearnerState:
    """One student: the general state and the state of every variant ridden."""

    general: GeneralState
    variants: Mapping[int, VariantState] = field(default_factory=dict)


def general_to_plain(state: GeneralState) -> dict[str, Any]:
    """The general state as values that JSON holds exactly."""
    return {
        "mean": state.mean,
        "variance": state.variance,
        "form_mean": state.form_mean,
        "form_variance": state.form_variance,
        "rides": state.rides,
        "last_at": _instant_text(state.last_at),
        "last_key": state.last_key,
    }


def general_from_plain(plain: Mapping[str, Any]) -> GeneralState:
    """The general state from :func:`general_to_plain`; KeyError where a value is missing."""
    return GeneralState(
        mean=plain["mean"],
        variance=plain["variance"],
        form_mean=plain["form_mean"],
        form_variance=plain["form_variance"],
        rides=plain["rides"],
        last_at=_instant(plain["last_at"]),
        last_key=plain["last_key"],
    )


def variant_to_plain(state: VariantState) -> dict[str, Any]:
    """The variant state as values that JSON holds exactly."""
    return {
        "variant_id": state.variant_id,
        "mean": state.mean,
        "variance": state.variance,
        "rides": state.rides,
        "clean_rides": state.clean_rides,
        "run": state.run,
        "run_sessions": list(state.run_sessions),
        "recent": state.recent,
        "last_at": _instant_text(state.last_at),
    }


def variant_from_plain(plain: Mapping[str, Any]) -> VariantState:
    """The variant state from :func:`variant_to_plain`; KeyError where a value is missing."""
    return VariantState(
        variant_id=plain["variant_id"],
        mean=plain["mean"],
        variance=plain["variance"],
        rides=plain["rides"],
        clean_rides=plain["clean_rides"],
        run=plain["run"],
        run_sessions=tuple(plain["run_sessions"]),
        recent=plain["recent"],
        last_at=_instant(plain["last_at"]),
    )


def _instant_text(instant: datetime | None) -> str | None:
    return None if instant is None else instant.isoformat()


def _instant(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)
