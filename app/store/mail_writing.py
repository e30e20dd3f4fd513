"""From an owed message to the bytes of an email (RFC 5322, and MIME by RFC 2045 to 2047)."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from email.errors import MessageError
from email.headerregistry import Address
from email.message import EmailMessage
from email.utils import format_datetime, parseaddr

from email_validator import EmailNotValidError, validate_email

from app.rules.letters import one_line
from app.store.letterhead import Sheet
from app.store.mail_line import POLICY
from app.store.outbox import MessageRow


class Unwritable(Exception):
    """A message that cannot be written as an email; its text says why, in a sentence."""


@dataclass(frozen=True, slots=True)
class From:
    """Whom email comes from: a name to show, an address, and where answers go if elsewhere."""

    name: str
    address: str
    reply_to: str | None = None


def from_words(sender: str, school: str, reply_to: str) -> From:
    """The sender as configured: ``a@b.c`` in the school's name, or ``Name <a@b.c>`` as it is."""
    name, address = parseaddr(sender)
    return From(one_line(name or school), address or sender, reply_to.strip() or None)


def written(message: MessageRow, sheet: Sheet, sender: From) -> EmailMessage:
    """The email itself. Raises Unwritable.

    Date and Message-ID are those of the message, not of the attempt, so that one that
    is sent again is known by its reader's mailbox (RFC 5322, 3.6.1 and 3.6.4). It says
    that no person wrote it (RFC 3834, 5). With HTML the text comes first, since the
    last part is the one to prefer (RFC 2046, 5.1.4). List-Unsubscribe (RFC 2369) leads
    to the page of choices where there is one; that page asks who you are, so it is not
    said to work with one click (RFC 8058).
    """
    try:
        letter = EmailMessage(policy=POLICY)
        letter["From"] = Address(sender.name, addr_spec=wire_address(sender.address))
        letter["To"] = wire_address(message.recipient)
        _head(letter, message, sheet, sender)
        letter.set_content(sheet.text)
        if sheet.html is not None:
            letter.add_alternative(sheet.html, subtype="html")
    except (MessageError, ValueError, IndexError) as error:
        raise Unwritable(f"This cannot be written as an email: {error}") from error
    return letter


def _head(letter: EmailMessage, message: MessageRow, sheet: Sheet, sender: From) -> None:
    letter["Subject"] = one_line(message.subject)
    letter["Date"] = format_datetime(message.made_at)
    letter["Message-ID"] = _message_id(message, sender)
    letter["Auto-Submitted"] = "auto-generated"
    if sender.reply_to and sender.reply_to != sender.address:
        # What the owner wrote for people to read need not be one address; then answers go back.
        with suppress(Unwritable):
            letter["Reply-To"] = wire_address(sender.reply_to)
    if sheet.link:
        letter["List-Unsubscribe"] = f"<{sheet.link}>"


def _message_id(message: MessageRow, sender: From) -> str:
    domain = wire_address(sender.address).rpartition("@")[2]
    return f"<{message.made_at:%Y%m%d%H%M%S%f}.{message.id}@{domain}>"


def wire_address(address: str) -> str:
    """An address as mail servers know it, its domain in ASCII. Raises Unwritable.

    Letters beyond ASCII before the @ stay; whether a server takes them is its own to say.
    """
    try:
        found = validate_email(address, check_deliverability=False, globally_deliverable=False)
    except EmailNotValidError as error:
        raise Unwritable(f"“{one_line(address)}” is not an email address.") from error
    return found.ascii_email or f"{found.local_part}@{found.ascii_domain}"
