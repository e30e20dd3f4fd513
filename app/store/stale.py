"""Two people with the same page open: the second to save is told so."""

from __future__ import annotations

from app.rules.refusal import Reason, Refused

_STALE = Reason(
    "Someone changed this since you opened it. What you typed is still here, and nothing was "
    "saved: open the record in another window, compare, and type your change there."
)


def check_version(kept: int, opened: int) -> None:
    """Refuse an edit that started from another version than the one kept now."""
    if kept != opened:
        raise Refused(_STALE)
