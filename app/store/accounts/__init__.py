"""Accounts and who is signed in."""
