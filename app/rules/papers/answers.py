"""An answer about a student's papers: yes, no or not known, why, and when it will be another."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Verdict(StrEnum):
    """What a rule can say."""

    YES = "yes"
    NO = "no"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Answer:
    """The verdict on one question, the reason in a sentence, and the day on which it changes.

    ``changes_on`` is the first day with another answer; None when no day by itself changes it.
    """

    verdict: Verdict
    reason: str
    changes_on: date | None = None
