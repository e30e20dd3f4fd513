"""The words of the messages that carry a one-time link."""

from __future__ import annotations

from dataclasses import dataclass

from app.rules.accounts.links import LinkPurpose, lifetime_words


@dataclass(frozen=True, slots=True)
class Letter:
    """An email, as plain text."""

    subject: str
    body: str


def letter(purpose: LinkPurpose, school: str, name: str, address: str) -> Letter:
    """The message with a link to ``address`` for the person called ``name``."""
    write = _invitation if purpose is LinkPurpose.INVITATION else _reset
    return write(school, name, address)


def _invitation(school: str, name: str, address: str) -> Letter:
    return Letter(
        f"Your way in at {school}",
        f"Hello {name},\n\n"
        f"{school} keeps its bookings and riding records in Yardmark. Open this page to choose "
        f"your password and look in:\n\n{address}\n\n"
        f"It works once, for {lifetime_words(LinkPurpose.INVITATION)}. After that, ask the desk "
        "for another.\n",
    )


def _reset(school: str, name: str, address: str) -> Letter:
    return Letter(
        f"A new password at {school}",
        f"Hello {name},\n\n"
        f"Someone asked for a new password for your account at {school}. If it was you, choose "
        f"one here:\n\n{address}\n\n"
        f"It works once, for {lifetime_words(LinkPurpose.RESET)}. If it was not you, do nothing: "
        "your password stays as it is.\n",
    )
