"""The screens of the room, gathered."""

from __future__ import annotations

from app.web.diary import (
    bookings,
    calendars,
    closures,
    feed,
    histories,
    instructors,
    message_choices,
    messages,
    sessions,
    weeks,
)
from app.web.diary.blueprint import bp as bp

SCREENS = (
    weeks,
    sessions,
    bookings,
    calendars,
    feed,
    histories,
    closures,
    instructors,
    messages,
    message_choices,
)
"""Importing a screen adds its routes to the blueprint."""
