"""What a letter is: a subject and blocks, read as text or, drawn by the store, as HTML."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

MOST_SUBJECT = 150
"""Characters of a subject; what is longer is cut, since nobody reads it."""

_JOINERS = "\u200c\u200d"  # they change how letters of some scripts are written


@dataclass(frozen=True, slots=True)
class Block:
    """One part of a letter: a heading or none, sentences or none, and rows of facts or none."""

    words: str = ""
    heading: str = ""
    rows: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Letter:
    """An email as its reader gets it."""

    subject: str
    greeting: str
    blocks: tuple[Block, ...]
    signature: tuple[str, ...]


def as_text(letter: Letter) -> str:
    """The letter as plain text, a blank line between its parts."""
    parts = [letter.greeting, *map(_block_text, letter.blocks), "\n".join(letter.signature)]
    return "\n\n".join(parts) + "\n"


def _block_text(block: Block) -> str:
    heading = [f"{block.heading}:"] if block.heading else []
    rows = [f"  {name}: {value}" for name, value in block.rows.items()]
    words = [block.words] if block.words else []
    return "\n".join([*heading, *words, *rows])


def one_line(text: str) -> str:
    """Text fit for a header: one line, nothing unprintable, cut where it grows too long."""
    kept = "".join(c if c.isprintable() or c in _JOINERS else " " for c in text)
    line = re.sub(r"\s+", " ", kept).strip()
    return line if len(line) <= MOST_SUBJECT else f"{line[: MOST_SUBJECT - 1].rstrip()}…"
