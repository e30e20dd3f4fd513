"""How letters look as HTML, and what stands under each when it is sent."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from app.config import ROOT
from app.rules.letters import Letter
from app.store.outbox import MessageRow

CHOICES = "/mine/messages"
"""Where a student who signs in chooses which messages to get."""

_WITH_LINK = "Your bookings, and which of these messages you get:"
_WITHOUT = "Tell the school if you do not want messages of this kind."


@dataclass(frozen=True, slots=True)
class Sheet:
    """A message as it leaves: its text, its HTML where it has any, the link to the choices."""

    text: str
    html: str | None
    link: str | None


@cache
def _templates() -> Environment:
    return Environment(
        loader=FileSystemLoader(ROOT / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def as_html(letter: Letter) -> str:
    """The inside of a letter as HTML; every name in it is escaped."""
    return _templates().get_template("letters/letter.html").render(letter=letter)


def sheet(message: MessageRow, base_url: str | None) -> Sheet:
    """A message with the line at its foot. One that has no HTML is sent as it was written.

    The link is there for students who can sign in, and where the school's address
    is known (``base_url``).
    """
    if message.html is None:
        return Sheet(message.body, None, None)
    own_page = bool((message.facts or {}).get("own_page"))
    link = f"{base_url.rstrip('/')}{CHOICES}" if base_url and own_page else None
    footer = _WITH_LINK if link else _WITHOUT
    text = "\n".join([message.body, "-- ", footer, *([link] if link else []), ""])
    return Sheet(text, _on_sheet(message, footer, link), link)


def _on_sheet(message: MessageRow, footer: str, link: str | None) -> str:
    content = Markup(message.html)  # noqa: S704, made by as_html above
    page = _templates().get_template("letters/sheet.html")
    return page.render(subject=message.subject, content=content, footer=footer, link=link)
