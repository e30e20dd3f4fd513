"""The line to a mail server (RFC 5321): opening it, and handing one email in."""

from __future__ import annotations

import smtplib
import ssl
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from email.message import EmailMessage
from email.policy import SMTP
from enum import StrEnum

from app.config import Smtp

_SECONDS = 20
_SECONDS_FOR_TEXT = 600
"""How long a server may take over a whole email: at least ten minutes (RFC 5321, 4.5.3.2.6)."""
POLICY = SMTP.clone(cte_type="7bit")
"""Nothing but ASCII on the wire: not every server takes eight bits (RFC 5321, 4.5.2; RFC 6152)."""
_BROKEN = (smtplib.SMTPServerDisconnected, OSError)


class CannotSend(Exception):
    """The mail server cannot be reached or takes nothing from us. Nothing was handed over."""


class Fate(StrEnum):
    """What became of an email that was handed in."""

    SENT = "sent"
    PUT_OFF = "put off"
    REFUSED = "refused"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Answer:
    """The fate of one email, and what the server said of it in a sentence."""

    fate: Fate
    said: str = ""


@contextmanager
def line_to(smtp: Smtp) -> Iterator[smtplib.SMTP]:
    """A line to the server while the block runs. Raises CannotSend."""
    try:
        server = _connect(smtp)
    except (smtplib.SMTPException, OSError) as error:
        raise CannotSend(
            f"The mail server {smtp.host}:{smtp.port} says: {_plain(error)}"
        ) from error
    try:
        yield server
    finally:
        server.close()


def _connect(smtp: Smtp) -> smtplib.SMTP:
    if smtp.security == "tls":
        context = ssl.create_default_context()
        server: smtplib.SMTP = smtplib.SMTP_SSL(
            smtp.host, smtp.port, timeout=_SECONDS, context=context
        )
    else:
        server = smtplib.SMTP(smtp.host, smtp.port, timeout=_SECONDS)
    server.ehlo_or_helo_if_needed()
    if smtp.security == "starttls":
        server.starttls(context=ssl.create_default_context())
    if smtp.user:
        server.login(smtp.user, smtp.password or "")
    return server


def hand_in(server: smtplib.SMTP, letter: EmailMessage, sender: str, recipient: str) -> Answer:
    """Hand one email in. Raises CannotSend when the line broke before anything was handed over.

    Once the text of the email is on its way, a line that breaks leaves it unknown
    whether the server has taken it (RFC 5321, 4.2.5 and RFC 1047).
    """
    if not recipient.isascii() and not server.has_extn("smtputf8"):
        return Answer(
            Fate.REFUSED, "The mail server cannot write to letters such as é before the @."
        )
    answer = _envelope(server, sender, recipient)
    return answer or _text(server, letter, utf8=not recipient.isascii())


def _envelope(server: smtplib.SMTP, sender: str, recipient: str) -> Answer | None:
    options = () if recipient.isascii() else ("SMTPUTF8", "BODY=8BITMIME")
    try:
        code, said = server.mail(sender, options)
        if code != 250:
            raise CannotSend(f"The mail server takes nothing from {sender}: {_words(code, said)}")
        code, said = server.rcpt(recipient)
        if code in (250, 251):
            return None
        if code != 421:
            _reset(server)
            return _no(code, said, f"The mail server does not take email to {recipient}")
    except _BROKEN as error:
        raise CannotSend(f"The line to the mail server broke: {_plain(error)}") from error
    raise CannotSend(f"The mail server closes: {_words(code, said)}")


def _text(server: smtplib.SMTP, letter: EmailMessage, *, utf8: bool) -> Answer:
    text = letter.as_bytes(policy=POLICY.clone(utf8=utf8))
    if server.sock is not None:
        server.sock.settimeout(_SECONDS_FOR_TEXT)
    try:
        code, said = server.data(text)
    except smtplib.SMTPDataError as error:
        # Said before the text was sent: 354 was asked for and something else came.
        _reset(server)
        return _no(error.smtp_code, error.smtp_error, "The mail server does not take this email")
    except _BROKEN as error:
        return Answer(Fate.UNKNOWN, f"The line broke while this was handed over: {_plain(error)}")
    if code == 250:
        return Answer(Fate.SENT)
    if 400 <= code < 600:
        return _no(code, said, "The mail server does not take this email")
    return Answer(Fate.UNKNOWN, f"The mail server answered in no way that is known: {code}")


def _reset(server: smtplib.SMTP) -> None:
    with suppress(*_BROKEN):  # a line that is gone by now is noticed by the next email
        server.rset()


def _no(code: int, said: bytes | str, sentence: str) -> Answer:
    """A no for good (5yz), or for now (4yz): RFC 5321, 4.2.1."""
    fate = Fate.REFUSED if 500 <= code < 600 else Fate.PUT_OFF
    return Answer(fate, f"{sentence}: {_words(code, said)}")


def _words(code: int, said: bytes | str) -> str:
    text = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return f"{code} {' '.join(text.split())}"[:300]


def _plain(error: Exception) -> str:
    if isinstance(error, smtplib.SMTPResponseException):
        return _words(error.smtp_code, error.smtp_error)
    return str(error)[:300]
