"""The day that a person asks for in an address."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time, timedelta

from flask import request

from app.web import context

REACH = timedelta(days=3 * 365)
"""So far back and ahead the diary can be opened."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The day to show; ``understood`` is false when today stands in for one that cannot be read."""

    day: date
    understood: bool


def asked(name: str = "on") -> Asked:
    """The day in the address; today when there is none, or none that can be shown."""
    typed = request.args.get(name, "").strip()
    today = context.today()
    if not typed:
        return Asked(today, understood=True)
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        return Asked(today, understood=False)
    near = abs(day - today) <= REACH
    return Asked(day if near else today, understood=near)


def asked_clock(name: str) -> time | None:
    """A time of day in the address, as 14:30; None when there is none that can be read."""
    try:
        return time.fromisoformat(request.args.get(name, "")).replace(tzinfo=None)
    except ValueError:
        return None
