"""A practice plan in an address: its blocks, and what was dropped from it."""

from __future__ import annotations

import re

from app.rules.progress.plan_values import Pick, Plan
from app.web.choices import LARGEST_ID

MOST_BLOCKS, MOST_ROUNDS = 40, 20
NOTHING = "none"
_BLOCK = re.compile(r"(\d{1,10})x(\d{1,2})(p?)")


def blocks_in(text: str) -> tuple[Pick, ...] | None:
    """The blocks of an address: ``12x3.5x2p`` is two, the second pinned; None where it is none."""
    if text == NOTHING:
        return ()
    found = [_BLOCK.fullmatch(part) for part in text.split(".")]
    picks = [Pick(int(one[1]), int(one[2]), one[3] == "p") for one in found if one]
    wild = any(
        pick.variant_id > LARGEST_ID or not 1 <= pick.rounds <= MOST_ROUNDS for pick in picks
    )
    return None if wild or len(picks) != len(found) or len(picks) > MOST_BLOCKS else tuple(picks)


def blocks_out(plan: Plan) -> str:
    """The blocks of a plan for an address."""
    said = [f"{one.variant_id}x{one.rounds}{'p' if one.pinned else ''}" for one in plan.picks]
    return ".".join(said) or NOTHING


def dropped_in(text: str) -> frozenset[int]:
    """The variants dropped, as an address gives them; what is none is passed over."""
    parts = [part for part in text.split(".") if part.isdecimal() and len(part) < 10]
    return frozenset(map(int, parts[:MOST_BLOCKS]))


def dropped_out(plan: Plan) -> str:
    """The variants dropped from a plan for an address."""
    return ".".join(map(str, sorted(plan.left_out)))
