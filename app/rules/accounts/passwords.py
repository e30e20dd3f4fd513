"""What a password must be.

After NIST SP 800-63B-4 "Authentication and Authenticator Management" (2025),
section 3.1.1.2: at least 15 characters where the password is all that is asked
for, at least 64 allowed, every character counted once and none demanded, no
regular changes, and a list of the commonest refused. The OWASP "Authentication
Cheat Sheet" says the same.
"""

from __future__ import annotations

from unicodedata import normalize

from app.rules.accounts.common_passwords import COMMONEST
from app.rules.refusal import Reason

SHORTEST = 15
LONGEST = 256
_OF_ONES_OWN = 8


def normalised(password: str) -> str:
    """The password as it is hashed, so that the same keys on another device make the same text.

    NFC is the form that SP 800-63B-4 section 3.1.1.2 asks for; space at either
    end is a slip of the finger and is left out, as the same section allows.
    """
    return normalize("NFC", password).strip()


def faults(password: str, *, email: str, name: str) -> tuple[Reason, ...]:
    """Why a new password cannot be used; empty when it can."""
    text = normalised(password)
    if len(text) < SHORTEST:
        return (_reason(f"Use at least {SHORTEST} characters. Three or four words do well."),)
    if len(text) > LONGEST:
        return (_reason(f"Use at most {LONGEST} characters. This has {len(text)}."),)
    if _is_common(text):
        return (_reason("Too many people use this one. Choose words of your own."),)
    if _is_about(text, email, name):
        return (_reason("Leave out your own name and email. They are tried first."),)
    return ()


def _reason(sentence: str) -> Reason:
    return Reason(sentence, field="password")


def _plain(text: str) -> str:
    return "".join(c for c in text.casefold() if c.isalnum())


def _is_common(text: str) -> bool:
    """Whether it is a common password, one repeated to fill the length, or a run of few signs."""
    plain = _plain(text)
    if len(set(text.casefold())) < 5:
        return True
    return any(_only_repeats(plain, common) for common in COMMONEST)


def _only_repeats(plain: str, common: str) -> bool:
    rest = plain.replace(common, "")
    return rest != plain and rest.strip("0123456789") == ""


def _is_about(text: str, email: str, name: str) -> bool:
    """Whether little is left of the password without the person's own name and email."""
    plain = _plain(text)
    own = {_plain(part) for part in (email, email.partition("@")[0], name, *name.split())}
    rest = plain
    for part in sorted((p for p in own if len(p) >= 3), key=lambda p: (-len(p), p)):
        rest = rest.replace(part, "")
    return rest != plain and len(rest) < _OF_ONES_OWN
