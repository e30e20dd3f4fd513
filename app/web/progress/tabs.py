"""The tabs above the lists of many students."""

from __future__ import annotations

from flask import request, url_for

from app.rules.accounts.access import scope_for
from app.web.context import actor
from app.web.navigation import MenuEntry

_TABS = (
    ("Flags", "progress.flags"),
    ("Ready for a test", "progress.ready"),
    ("How it works", "progress.how"),
)


def tabs() -> tuple[MenuEntry, ...]:
    """The lists that this person reaches."""
    return tuple(
        MenuEntry(label, url_for(endpoint), request.endpoint == endpoint)
        for label, endpoint in _TABS
        if scope_for(actor(), endpoint) is not None
    )
