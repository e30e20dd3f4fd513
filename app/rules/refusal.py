"""How a rule says no: a plain sentence, and the field that it belongs beside."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something is refused. ``field`` names the form field, or is empty for the whole form."""

    sentence: str
    field: str = ""


class Refused(Exception):
    """A write that the rules of the school forbid. Nothing has been saved."""

    def __init__(self, *reasons: Reason) -> None:
        super().__init__(" ".join(reason.sentence for reason in reasons))
        self.reasons = reasons


class Missing(Exception):
    """The record asked for does not exist, or not for this person."""
