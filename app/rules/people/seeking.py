"""Finding a person by a few letters: what is kept to search in, and what is searched for."""

from __future__ import annotations

from dataclasses import dataclass
from unicodedata import category, combining, normalize

from app.rules.people.phones import apart, in_ascii

LETTERS = 3
"""From so many letters on, the page searches while they are typed."""

RULE = 2
"""Goes up whenever :func:`sought` changes, so that what is kept is worked out again."""

_FOLDED = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "ð": "d", "ħ": "h", "ŧ": "t", "ı": "i", "ŋ": "n"}
    | {"þ": "th", "æ": "ae", "œ": "oe", "ĸ": "k", "ſ": "s"}
    | dict.fromkeys("'’‘ʼʻ`´ʹ′ـ", "")
    | dict.fromkeys("-‐‑‒–—−", " ")
)
_HIDDEN = frozenset({"Cc", "Cf", "Cs"})


@dataclass(frozen=True, slots=True)
class Numbers:
    """A phone number in digits: as dialled in its own country, and with the country's code.

    An extension follows the digits after an ``x``. Both are empty when there is no number.
    """

    national: str = ""
    international: str = ""


def plain(text: str) -> str:
    """Text as it is compared: without accents, case, apostrophes, hyphens and hidden characters.

    So Zoe finds Zoë, lukasz Łukasz, strasse Straße and istanbul İstanbul. Digits of any
    script are 0 to 9. Letters with a stroke have no accent to be taken off in Unicode, so
    they are named here one by one.
    """
    for _ in range(2):  # a sign such as ℡ comes apart into capitals
        text = normalize("NFKD", text.casefold())
    bare = "".join(c for c in text if not combining(c)).translate(_FOLDED)
    spaced = "".join(" " if c.isspace() else c for c in in_ascii(bare))
    seen = "".join(c for c in normalize("NFKD", spaced) if not _hidden(c))
    return " ".join(seen.split())


def _hidden(c: str) -> bool:
    return combining(c) != 0 or category(c) in _HIDDEN


def sought(name: str, numbers: Numbers, email: str | None) -> str:
    """What a person can be found by: name, the two writings of the phone, email, a line each."""
    return "\n".join((plain(name), numbers.national, numbers.international, plain(email or "")))


def wanted(typed: str) -> tuple[str, ...]:
    """The pieces that must all be found for what was typed, in the order typed.

    Digits that follow each other are one part of one number, however they are written:
    ``+44 (0)7700``, ``0044 7700`` and ``7700 9`` are each one piece.
    """
    before, extension = apart(typed)
    pieces: list[str] = []
    number = ""
    for word in plain(before).split():
        if _in_number(word):
            number += word
        else:
            pieces += [*_number(number), word]
            number = ""
    return (*pieces, *_number(number, extension))


def _in_number(word: str) -> bool:
    return any(c in "0123456789" for c in word) and all(c in "0123456789+()./" for c in word)


def _number(written: str, extension: str = "") -> tuple[str, ...]:
    if not written:
        return (f"x{extension}",) if extension else ()
    bare = "".join(c for c in written.replace("(0)", "") if c in "0123456789")
    bare = bare.removeprefix("00") or bare
    return (f"{bare}x{extension}" if extension else bare,) if bare else ()
