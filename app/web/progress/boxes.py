"""Select boxes of forms that are sent with GET."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice of a select box."""

    value: str
    label: str
    chosen: bool
