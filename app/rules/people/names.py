"""People's names as they are kept: any script, one word or many, and nothing that hides in them."""

from __future__ import annotations

from unicodedata import category, name, normalize

_JOINERS = "\u200c\u200d"
"""They shape letters in Persian and in the scripts of India, so there they belong to a name."""

_UNJOINED = ("LATIN", "GREEK", "CYRILLIC", "DIGIT", "SPACE")
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})


def tidy(text: str) -> str:
    """A name in normal form C, with single spaces and without what cannot be seen.

    Zero-width characters, marks of direction and control characters are left out;
    a joiner stays between letters that it joins (Unicode Standard, section 23.2).
    """
    seen = "".join(_seen(before, c) for before, c in zip(f" {text}", text, strict=False))
    return normalize("NFC", " ".join(seen.split()))


def _seen(before: str, c: str) -> str:
    if c in _JOINERS:
        return c if not name(before, "SPACE").startswith(_UNJOINED) else ""
    if c.isspace():
        return " "
    return "" if category(c) in _HIDDEN else c


def tidy_text(text: str) -> str:
    """Free text in normal form C, its lines kept, without control characters."""
    plain = "".join(c for c in text if c in "\r\n\t" or category(c) not in ("Cc", "Cs"))
    return normalize("NFC", plain.strip())
