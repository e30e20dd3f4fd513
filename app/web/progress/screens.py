"""The screens of the room, gathered."""

from __future__ import annotations

from app.web.progress import debrief, flags
from app.web.progress.routes import bp as bp

SCREENS = (debrief, flags)
"""Importing a screen adds its routes to the blueprint."""
