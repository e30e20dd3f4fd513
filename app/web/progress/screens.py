"""The screens of the room, gathered."""

from __future__ import annotations

from app.web.progress import debrief, finding, flags, opening, plans, ready
from app.web.progress.routes import bp as bp

SCREENS = (debrief, finding, flags, opening, plans, ready)
"""Importing a screen adds its routes to the blueprint."""
