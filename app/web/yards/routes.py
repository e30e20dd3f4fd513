"""The screens of the room, gathered."""

from __future__ import annotations

from app.web.yards import bike_screens, yard_screens
from app.web.yards.blueprint import bp as bp

SCREENS = (yard_screens, bike_screens)
"""Importing a screen adds its routes to the blueprint."""
