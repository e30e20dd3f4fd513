"""A new release meets a school's own edits: what was shipped, what is shipped, what stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

_ABSENT = object()


class Merged(NamedTuple):
    """The values to keep, and the dotted names of the fields where the school's edit was kept."""

    values: dict[str, Any]
    kept_edits: tuple[str, ...]


def merge(
    shipped_before: Mapping[str, Any] | None,
    shipped_now: Mapping[str, Any],
    current: Mapping[str, Any],
) -> Merged:
    """Merge one entry, or a whole table of entries, field by field.

    ``shipped_before`` is what the last release shipped (None where it shipped
    nothing), ``shipped_now`` what this one ships, ``current`` what the school
    has. A field that the school left alone follows the release, and goes when the
    release drops it; a field that it changed, added or took away stays as the
    school has it. Tables within are merged in the same way; a list is one field,
    because half a list of coaching points from each side would be nobody's list.
    """
    before = shipped_before or {}
    values: dict[str, Any] = {}
    kept: list[str] = []
    for name in [*shipped_now, *(each for each in current if each not in shipped_now)]:
        chosen, edits = _merge_field(
            before.get(name, _ABSENT), shipped_now.get(name, _ABSENT), current.get(name, _ABSENT)
        )
        if chosen is not _ABSENT:
            values[name] = chosen
        kept += [name + edit for edit in edits]
    return Merged(values, tuple(kept))


def _merge_field(before: Any, now: Any, current: Any) -> tuple[Any, list[str]]:
    if isinstance(now, Mapping) and isinstance(current, Mapping):
        inner = merge(before if isinstance(before, Mapping) else None, now, current)
        return inner.values, [f".{name}" for name in inner.kept_edits]
    if current == before:
        return now, []
    return current, [] if current == now else [""]
