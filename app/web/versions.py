"""The versions of records that an edit started from, as a form carries them."""

from __future__ import annotations

from flask import request


def version_sent(name: str = "version") -> int:
    """A version in the form; one that no record has when there is none to be read."""
    return request.form.get(name, default=-1, type=int)
