"""The screens of the room, gathered."""

from __future__ import annotations

from app.web.accounts import colleagues, entering, invitations, mine, passwords, tablet
from app.web.accounts.blueprint import bp as bp

SCREENS = (entering, passwords, mine, colleagues, invitations, tablet)
"""Importing a screen adds its routes to the blueprint."""
