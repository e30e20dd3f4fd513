"""Finding a person by a few letters: what is kept to search in, and what is searched for."""

from __future__ import annotations

from unicodedata import combining, normalize

from app.rules.people.phones import digits

LETTERS = 3
"""From so many letters on, the page searches while they are typed."""


def plain(text: str) -> str:
    """Text without accents and without case, so that Zoe finds Zoë."""
    apart = normalize("NFKD", text.casefold())
    return "".join(c for c in apart if not combining(c))


def sought(name: str, phone: str | None, email: str | None) -> str:
    """What a person can be found by: name, digits of the phone and email, a line each."""
    return "\n".join((plain(name), digits(phone or ""), plain(email or "")))


def wanted(typed: str) -> tuple[str, ...]:
    """The pieces that must all be found for what was typed; part of a phone number is one piece."""
    if digits(typed) and not any(c.isalpha() for c in typed):
        return (digits(typed),)
    return tuple("".join(c for c in piece if c.isprintable()) for piece in plain(typed).split())
