"""Certificates and when they lapse."""
