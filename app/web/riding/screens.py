"""The screens of the yard, gathered."""

from __future__ import annotations

from app.web.riding import around, mock_tests, offline, rides_file, sync
from app.web.riding.routes import bp as bp

SCREENS = (around, mock_tests, offline, rides_file, sync)
"""Importing a screen adds its routes to the blueprint."""
