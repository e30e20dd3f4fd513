"""The screens of the office and of whole-school work, gathered."""

from __future__ import annotations

from app.web.school import merging
from app.web.school.routes import bp as bp

SCREENS = (merging,)
"""Importing a screen adds its routes to the blueprint."""
