"""Telephone numbers, as people write them. What is known of each country stands in the store."""

from __future__ import annotations

import re
from unicodedata import decimal, normalize

FEWEST_DIGITS = 6
MOST_DIGITS = 15
"""ITU-T E.164: an international number has at most fifteen digits."""

_DIGITS = "0123456789"
_BETWEEN = frozenset(" ()-./")
_DASHES = {ord(dash): "-" for dash in "‐‑‒–—−"}
_EXTENSION = re.compile(
    r"(?<=[\d)])\s*[,;]?\s*(?:ext(?:ension|n)?\.?|x|#)\s*[.:=]?\s*(\d{1,7})\s*$", re.IGNORECASE
)


def in_ascii(text: str) -> str:
    """Text with the digits of any script as 0 to 9, and every dash as a hyphen."""
    plain = normalize("NFKC", text).translate(_DASHES)
    return "".join(_digit(c) for c in plain)


def _digit(c: str) -> str:
    value = decimal(c, None)
    return c if value is None else str(value)


def apart(phone: str) -> tuple[str, str]:
    """The number, and the digits of its extension or nothing."""
    plain = in_ascii(phone).strip()
    found = _EXTENSION.search(plain)
    return (plain[: found.start()], found[1]) if found else (plain, "")


def digits(phone: str) -> str:
    """The digits alone, without those of an extension."""
    return "".join(c for c in apart(phone)[0] if c in _DIGITS)


def why_not_phone(phone: str) -> str | None:
    """Why this cannot be a telephone number anywhere, in a sentence; None when it can."""
    rest = apart(phone)[0].removeprefix("+")
    if any(c not in _DIGITS and c not in _BETWEEN for c in rest):
        return "Write the phone number in digits, such as 01632 960123."
    if not FEWEST_DIGITS <= len(digits(rest)) <= MOST_DIGITS:
        return f"A phone number has {FEWEST_DIGITS} to {MOST_DIGITS} digits. Check this one."
    return None
