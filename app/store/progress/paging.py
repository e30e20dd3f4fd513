"""Long lists in pages that count from 1."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where one page lies in a list of ``total`` things, ``size`` to a page."""

    page: int
    pages: int
    total: int
    size: int

    @property
    def offset(self) -> int:
        """How many things lie before it."""
        return (self.page - 1) * self.size


def leaf(total: int, page: int, size: int) -> Leaf:
    """The page asked for, or the nearest one that there is."""
    pages = max(1, -(-total // size))
    return Leaf(min(max(page, 1), pages), pages, total, size)
