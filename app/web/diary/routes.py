"""The screens of the room, gathered."""

from __future__ import annotations

from app.web.diary import bookings, calendars, feed, histories, sessions, weeks
from app.web.diary.blueprint import bp as bp

SCREENS = (weeks, sessions, bookings, calendars, feed, histories)
"""Importing a screen adds its routes to the blueprint."""
