"""Telephone numbers, as people write them."""

from __future__ import annotations

FEWEST_DIGITS = 6
MOST_DIGITS = 15
"""ITU-T E.164: an international number has at most fifteen digits."""

_BETWEEN = frozenset(" ()-./")


def digits(phone: str) -> str:
    """The digits alone."""
    return "".join(c for c in phone if c in "0123456789")


def why_not_phone(phone: str) -> str | None:
    """Why this cannot be a telephone number, in a sentence; None when it can."""
    rest = phone.removeprefix("+")
    if any(c not in "0123456789" and c not in _BETWEEN for c in rest):
        return "Write the phone number in digits, such as 01632 960123."
    if not FEWEST_DIGITS <= len(digits(rest)) <= MOST_DIGITS:
        return f"A phone number has {FEWEST_DIGITS} to {MOST_DIGITS} digits. Check this one."
    return None
