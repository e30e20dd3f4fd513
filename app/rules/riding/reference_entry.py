"""Reading one entry of reference data, field by field, so that an error names its place."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum
from typing import Any, TypeVar

Words = TypeVar("Words", bound=StrEnum)

_CODE = re.compile(r"[a-z][a-z0-9_]*")
_ABSENT = object()


class BadReference(ValueError):
    """Reference data that cannot be used: ``entry`` and ``field`` say where, ``problem`` what."""

    def __init__(self, entry: str, field: str, problem: str) -> None:
        super().__init__(f"{entry}, field {field}: {problem}")
        self.entry, self.field, self.problem = entry, field, problem


class Entry:
    """One table of reference data under its name; remembers which fields were read."""

    def __init__(self, name: str, table: Any) -> None:
        if not isinstance(table, Mapping):
            raise BadReference(name, "(the entry itself)", "must be a table")
        self.name = name
        self._table: Mapping[str, Any] = table
        self._read: set[str] = set()

    def wrong(self, field: str, problem: str) -> BadReference:
        """The error to raise for a field of this entry."""
        return BadReference(self.name, field, problem)

    def _take(self, field: str) -> Any:
        self._read.add(field)
        value = self._table.get(field, _ABSENT)
        if value is _ABSENT:
            raise self.wrong(field, "is missing")
        return value

    def has(self, field: str) -> bool:
        """Whether the entry has this field at all."""
        return field in self._table

    def text(self, field: str) -> str:
        """A text that is not blank."""
        value = self._take(field)
        if not isinstance(value, str) or not value.strip():
            raise self.wrong(field, "must be a text that is not blank")
        return value

    def text_or(self, field: str, default: str) -> str:
        """A text that is not blank, or the default where the field is absent."""
        return self.text(field) if self.has(field) else default

    def texts(self, field: str, least: int = 0) -> tuple[str, ...]:
        """A list of texts, at least ``least`` of them, none blank."""
        value = self._take(field)
        if not isinstance(value, list) or not all(isinstance(v, str) and v.strip() for v in value):
            raise self.wrong(field, "must be a list of texts, none of them blank")
        if len(value) < least:
            raise self.wrong(field, f"needs at least {least}")
        return tuple(value)

    def flag(self, field: str) -> bool:
        """A true or false."""
        value = self._take(field)
        if not isinstance(value, bool):
            raise self.wrong(field, "must be true or false")
        return value

    def whole(self, field: str, least: int = 1) -> int:
        """A whole number of at least ``least``."""
        value = self._take(field)
        if not isinstance(value, int) or isinstance(value, bool) or value < least:
            raise self.wrong(field, f"must be a whole number, {least} or more")
        return value

    def number(self, field: str, above: float, most: float) -> float:
        """A number greater than ``above`` and no greater than ``most``."""
        value = self._take(field)
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        if not is_number or not above < value <= most:
            raise self.wrong(field, f"must be a number above {above:g} and at most {most:g}")
        return float(value)

    def word(self, field: str, words: type[Words]) -> Words:
        """One of the words of an enumeration."""
        value = self._take(field)
        if not isinstance(value, str) or value not in {each.value for each in words}:
            raise self.wrong(field, f"must be one of {', '.join(each.value for each in words)}")
        return words(value)

    def table(self, field: str) -> Entry:
        """A table within this one."""
        return Entry(f"{self.name}.{field}", self._take(field))

    def tables(self, field: str) -> list[tuple[str, Entry]]:
        """A table of tables by code, at least one, every code in plain small letters."""
        within = self.table(field)
        if not within._table:
            raise self.wrong(field, "needs at least one entry")
        for code in within._table:
            if not _CODE.fullmatch(code):
                raise within.wrong(code, "a code is small letters, digits and underscores")
        return [(code, within.table(code)) for code in within._table]

    def fields(self) -> tuple[str, ...]:
        """The names of the fields that the entry has."""
        return tuple(self._table)

    def done(self) -> None:
        """Raise for the first field that nobody has read: most often a slip of the pen."""
        for field in self._table:
            if field not in self._read:
                raise self.wrong(field, "is not a field of this entry")
