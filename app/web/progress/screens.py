"""The screens of the room, gathered."""

from __future__ import annotations

from app.web.progress import debrief, flags, plans, ready
from app.web.progress.routes import bp as bp

SCREENS = (debrief, flags, plans, ready)
"""Importing a screen adds its routes to the blueprint."""
