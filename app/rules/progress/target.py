"""What steady asks for, the words of a standing, and the reasons for not being there."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from app.rules.progress.state import KEPT


class Standing(StrEnum):
    """How far a student is with a manoeuvre, weakest first."""

    NOT_RIDDEN = "not_ridden"
    WORKING = "working"
    NEARLY = "nearly"
    REFRESH = "refresh"
    STEADY = "steady"

    @property
    def rank(self) -> int:
        """0 for the weakest, rising."""
        return list(Standing).index(self)


@dataclass(frozen=True, slots=True)
class TargetRule:
    """The owner's four numbers. ValueError where they cannot be met or mean nothing."""

    clean_in_a_row: int = 3
    over_sessions: int = 2
    within_days: int = 21
    chance: float = 0.80

    def __post_init__(self) -> None:
        if not 1 <= self.clean_in_a_row <= KEPT:
            raise ValueError(f"clean_in_a_row is from 1 to {KEPT}")
        if not 1 <= self.over_sessions <= self.clean_in_a_row:
            raise ValueError("over_sessions is from 1 to clean_in_a_row")
        if not 1 <= self.within_days <= 365:
            raise ValueError("within_days is from 1 to 365")
        if not 0.5 <= self.chance <= 0.9:
            raise ValueError("chance is from 0.50 to 0.90")


@dataclass(frozen=True, slots=True)
class NeverRidden:
    """No ride of it counts yet."""

    rides_needed: int


@dataclass(frozen=True, slots=True)
class ShortRun:
    """Too few clean rides in a row: ``run`` of ``needed``; ``clean`` of the last ``rides``."""

    run: int
    needed: int
    clean: int
    rides: int

    @property
    def rides_needed(self) -> int:
        """Clean rides until this is met."""
        return self.needed - self.run


@dataclass(frozen=True, slots=True)
class FewSessions:
    """The clean rides in a row come from too few sessions."""

    sessions: int
    needed: int
    run: int

    @property
    def rides_needed(self) -> int:
        """Clean rides until this is met, each in a session of its own."""
        return self.needed - self.sessions


@dataclass(frozen=True, slots=True)
class LowChance:
    """The chance that the next ride is clean is below what is asked.

    ``by_days`` says that it would be high enough had no day passed.
    """

    chance: float
    needed: float
    by_days: bool
    rides_needed: int


@dataclass(frozen=True, slots=True)
class TooLongAgo:
    """The last ride is longer ago than allowed."""

    days: int
    limit: int
    rides_needed: int = 1


Reason = NeverRidden | ShortRun | FewSessions | LowChance | TooLongAgo
