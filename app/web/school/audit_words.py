"""The audit in words that are not the database's."""

from __future__ import annotations

from typing import Any

_SUBJECTS = {
    "attempts": "ride",
    "syllabuses": "syllabus",
    "settings": "settings",
    "opening_hours": "opening hours",
    "days_off": "days off",
}
_SHIFT = 2
"""A change is kept as a pair: what it was and what it is now."""

_LISTS = {"roles", "fields", "moved", "unwanted"}
"""Details that are lists of what is so now, even when they are two long."""


def subject_words(table: str) -> str:
    """One record of a table: ``training_sessions`` becomes ``training session``."""
    return _SUBJECTS.get(table, table.removesuffix("s").replace("_", " "))


def detail_words(name: str, value: Any) -> str:
    """One detail of an entry: a pair says what it was before and what it became."""
    if name not in _LISTS and isinstance(value, list) and len(value) == _SHIFT:
        before, after = (_plain(one) for one in value)
        return f"{after} (was {before})"
    return _plain(value)


def _plain(value: Any) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_plain(one) for one in value) or "nothing"
    return str(value)
