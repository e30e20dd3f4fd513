"""What a view of the diary shows: all instructors, yards or bikes, or one of them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum


class By(StrEnum):
    """Whose time a view shows."""

    INSTRUCTOR = "instructor"
    YARD = "yard"
    BIKE = "bike"


@dataclass(frozen=True, slots=True)
class Showing:
    """All of a kind, or with ``id`` that one alone."""

    by: By = By.INSTRUCTOR
    id: int | None = None

    @property
    def word(self) -> str:
        """How it is written in an address: ``yards``, ``yard-3``."""
        return f"{self.by}s" if self.id is None else f"{self.by}-{self.id}"


SCHOOL = Showing()
"""The whole school, by instructor."""

_WORD = re.compile(r"(?P<by>instructor|yard|bike)(?:s|-(?P<id>[1-9][0-9]{0,8}))")


def showing_of(word: str) -> Showing | None:
    """What a word of an address means; None when it means nothing."""
    found = _WORD.fullmatch(word)
    if found is None:
        return None
    return Showing(By(found["by"]), int(found["id"]) if found["id"] else None)
