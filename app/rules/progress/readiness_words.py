"""The chance of passing in words, without more precision than there is."""

from __future__ import annotations

from app.rules.progress.readiness import Readiness


def in_tenths(ready: Readiness) -> str:
    """For students and instructors: "about 7 in 10 on what we have seen; between 5 and 8"."""
    low, high = max(0, round(ready.low * 10)), min(10, round(ready.high * 10))
    about = f"{_about(ready.chance)} on what we have seen"
    if low == high:
        return about
    return f"{about}; between {low} and {high}"


def rests_on(results: int) -> str:
    """How many real results stand behind the chances as a whole."""
    if results == 0:
        return "not yet checked against real results"
    return f"checked against {results} real result{'s' if results > 1 else ''}"


def _about(chance: float) -> str:
    if chance < 0.1:
        return "less than 1 in 10"
    if chance > 0.9:
        return "more than 9 in 10"
    return f"about {round(chance * 10)} in 10"
