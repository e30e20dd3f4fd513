"""One-time links: what they are for and how long they live."""

from __future__ import annotations

from datetime import timedelta
from enum import StrEnum


class LinkPurpose(StrEnum):
    """What a one-time link is for."""

    INVITATION = "invitation"
    RESET = "reset"


LIFETIMES = {
    # A new student reads the message at the weekend; the school's own choice.
    LinkPurpose.INVITATION: timedelta(days=7),
    # OWASP Forgot Password Cheat Sheet: a token expires "after an appropriate period"; the
    # hour is this project's choice.
    LinkPurpose.RESET: timedelta(hours=1),
}
"""How long a link can be used, by purpose. A newer link of the same purpose ends an older one."""

SIGN_IN_LIFETIME = timedelta(days=14)
"""How long a browser stays signed in, however often it comes back."""

ASKED_IS_SHOWN_FOR = timedelta(days=7)
"""How long the desk sees that someone asked for a new password."""


def lifetime_words(purpose: LinkPurpose) -> str:
    """``7 days`` or ``1 hour``, for the message that carries the link."""
    lifetime = LIFETIMES[purpose]
    if lifetime.days:
        return f"{lifetime.days} days"
    hours = int(lifetime.total_seconds() // 3600)
    return "1 hour" if hours == 1 else f"{hours} hours"
