"""Email addresses as they are kept."""

from __future__ import annotations

from email_validator import EmailNotValidError, validate_email

from app.rules.refusal import Reason, Refused

MOST_EMAIL = 254
"""RFC 5321 leaves so many characters for an address."""


def written(email: str, field: str = "email") -> str:
    """An address that mail could reach, in lower case. Nothing is looked up on the network.

    Raises Refused for ``field`` when it cannot be one.
    """
    try:
        found = validate_email(email, check_deliverability=False, test_environment=True)
    except EmailNotValidError:
        sentence = "Write a whole email address, such as ada@example.org."
        raise Refused(Reason(sentence, field)) from None
    return found.normalized.lower()
