"""The licence categories of mopeds and motorcycles, in the order in which they widen."""

from __future__ import annotations

from enum import StrEnum


class Category(StrEnum):
    """Licence categories by their letters on the licence, narrowest first."""

    AM = "AM"
    A1 = "A1"
    A2 = "A2"
    A = "A"

    @property
    def is_moped(self) -> bool:
        """Whether the category is the moped one, which has its own minimum speed."""
        return self is Category.AM
