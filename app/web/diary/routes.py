"""The screens of the room, gathered."""

from __future__ import annotations

from app.web.diary import (
    affected,
    bookings,
    calendars,
    closures,
    courses,
    feed,
    histories,
    instructors,
    message_choices,
    messages,
    moving,
    sessions,
    waiting,
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
    moving,
    waiting,
    courses,
    affected,
)
"""Importing a screen adds its routes to the blueprint."""
