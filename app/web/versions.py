"""The version of a record that an edit started from, as a form carries it."""

from __future__ import annotations

from flask import request


def version_sent() -> int:
    """The version in the form; one that no record has when there is none to be read."""
    return request.form.get("version", default=-1, type=int)
