"""Yardmark: bookings, yard-side recording and progress for a motorcycle riding school.

This module stays light: ``app/__main__.py`` runs on a machine that has only
Python, so nothing outside the standard library may be imported here.
"""
