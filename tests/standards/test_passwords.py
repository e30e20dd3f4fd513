"""How passwords are hashed, against published guidance.

Source: OWASP "Password Storage Cheat Sheet" (cheatsheetseries.owasp.org):
"Use Argon2id with a minimum configuration of 19 MiB of memory, an iteration
count of 2, and 1 degree of parallelism." Its table of equal choices is below.
Source for lengths: NIST SP 800-63B-4, section 3.1.1.2.
"""

from __future__ import annotations

from argon2 import Type, extract_parameters

from app.rules.accounts import passwords
from app.store.accounts import hashing

OWASP_CHOICES = {47104: 1, 19456: 2, 12288: 3, 9216: 4, 7168: 5}
"""Memory in KiB, and the least iterations that go with it at one degree of parallelism."""


def test_a_new_hash_is_argon2id_at_the_published_minimum_or_better() -> None:
    made = extract_parameters(hashing.hash_password("copper kettle winter lane"))
    fitting = [least for memory, least in OWASP_CHOICES.items() if made.memory_cost >= memory]
    assert made.type is Type.ID
    assert made.version == 19  # RFC 9106: version 0x13
    assert fitting
    assert made.time_cost >= min(fitting)
    assert made.parallelism >= 1


def test_salt_and_hash_are_as_long_as_the_rfc_asks() -> None:
    made = extract_parameters(hashing.hash_password("copper kettle winter lane"))
    assert made.salt_len >= 16  # RFC 9106, section 3.1: 16 bytes is recommended for passwords
    assert made.hash_len >= 32  # RFC 9106, section 4: both its choices take 32 bytes


def test_no_two_hashes_of_one_password_are_alike() -> None:
    first, second = (hashing.hash_password("copper kettle winter lane") for _ in range(2))
    assert first != second


def test_lengths_are_those_of_sp_800_63b_4() -> None:
    assert passwords.SHORTEST >= 15
    assert passwords.LONGEST >= 64


def test_a_token_holds_256_bits_and_is_kept_as_a_sha_256() -> None:
    # OWASP "Session Management Cheat Sheet" asks for at least 64 bits of entropy.
    token = hashing.new_token()
    assert len(token) >= 43  # 32 bytes in base64, RFC 4648
    assert len(hashing.token_hash(token)) == 64
    assert token not in hashing.token_hash(token)
