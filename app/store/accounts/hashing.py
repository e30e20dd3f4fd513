"""Hashing: passwords slowly, tokens quickly."""

from __future__ import annotations

import secrets
from functools import cache
from hashlib import sha256

from argon2 import PasswordHasher, Type
from argon2.exceptions import InvalidHashError, VerificationError

from app.rules.accounts.passwords import normalised

# The OWASP "Password Storage Cheat Sheet" asks for argon2id with at least 19 MiB of memory,
# two iterations and one degree of parallelism.
MEMORY_KIB = 19 * 1024
ITERATIONS = 2
PARALLELISM = 1

_HASHER = PasswordHasher(
    time_cost=ITERATIONS, memory_cost=MEMORY_KIB, parallelism=PARALLELISM, type=Type.ID
)


def hash_password(password: str) -> str:
    """The password's argon2id hash in the PHC string format, with a salt of its own."""
    return str(_HASHER.hash(normalised(password)))


def fits(password_hash: str | None, password: str) -> bool:
    """Whether the password is the one that was hashed.

    Without a hash (no such account, or none set yet) it takes as long and says
    no, so that the time does not tell which addresses are known.
    """
    try:
        _HASHER.verify(password_hash or _nobody(), normalised(password))
    except (VerificationError, InvalidHashError):
        return False
    return password_hash is not None


def is_outdated(password_hash: str) -> bool:
    """Whether the hash was made with other parameters than those in force."""
    return bool(_HASHER.check_needs_rehash(password_hash))


@cache
def _nobody() -> str:
    return hash_password(secrets.token_urlsafe(32))


def new_token() -> str:
    """A token of 256 random bits for one browser's sign-in."""
    return secrets.token_urlsafe(32)


def token_hash(token: str) -> str:
    """What the database keeps of a token. A random token needs no salt and no slow hash."""
    return sha256(token.encode()).hexdigest()
