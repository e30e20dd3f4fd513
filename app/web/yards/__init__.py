"""Yards and bikes."""
