"""Signing in and out, invitations and passwords."""
