"""The screens of the people, gathered."""

from __future__ import annotations

from app.web.people import student_files
from app.web.people.routes import bp as bp

SCREENS = (student_files,)
"""Importing a screen adds its routes to the blueprint."""
