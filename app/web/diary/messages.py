"""The outbox at the desk, and one message as its reader gets it."""

from __future__ import annotations

from flask import Response, make_response, request, url_for
from flask.typing import ResponseReturnValue

from app.rules.posting import STANDING_WORDS, Standing
from app.rules.refusal import Missing
from app.store.diary import outbox_reads, outbox_writes
from app.store.diary.outbox_reads import OneMessage, OutboxPage
from app.web import context
from app.web.diary.blueprint import bp
from app.web.mail import send_soon
from app.web.navigation import MenuEntry
from app.web.pages import CONTENT_POLICY, done, page

SHEET_POLICY = (
    "sandbox; default-src 'none'; form-action 'none'; base-uri 'none'; frame-ancestors 'self'"
)
"""A letter is shown in a frame as the very bytes that are sent. It may load nothing, run nothing
and follow nothing, so whatever a name in it holds reaches no farther than its frame."""


@bp.get("/messages")
def outbox() -> ResponseReturnValue:
    """What waits, what was sent, and what became of the rest, newest first."""
    asked = request.args.get("state", "")
    standing = Standing(asked) if asked in list(Standing) else None
    at = request.args.get("page", default=1, type=int)
    found = outbox_reads.outbox_page(context.reading(), standing, at, context.now())
    return page(
        "diary/outbox.html",
        found=found,
        asked=standing,
        tabs=_tabs(found, standing),
        can_send=context.config().smtp is not None,
    )


def _tabs(found: OutboxPage, standing: Standing | None) -> list[MenuEntry]:
    """All messages, and those of each standing that there are any of, with their numbers."""
    shown = [each for each in Standing if found.counts.get(each) or each is standing]
    every = MenuEntry(f"All {found.total:,}", url_for("diary.outbox"), standing is None)
    return [
        every,
        *(
            MenuEntry(
                f"{STANDING_WORDS[each].capitalize()} {found.counts.get(each, 0):,}",
                url_for("diary.outbox", state=each.value),
                each is standing,
            )
            for each in shown
        ),
    ]


@bp.get("/messages/<int:message_id>")
def message(message_id: int) -> ResponseReturnValue:
    """One message as text and as HTML, and where it stands."""
    shown = page("diary/message.html", found=_found(message_id))
    response = make_response(shown)
    response.headers["Content-Security-Policy"] = f"{CONTENT_POLICY}; frame-src 'self'"
    return response


@bp.get("/messages/<int:message_id>/html")
def message_html(message_id: int) -> ResponseReturnValue:
    """The HTML of a message, for the frame that shows it; Missing when it has none."""
    sheet = _found(message_id).sheet
    if sheet is None or sheet.html is None:
        raise Missing
    return framed(sheet.html)


def framed(html: str) -> Response:
    """HTML of a letter, which only a frame on our own pages may show."""
    response = make_response(html)
    response.headers["Content-Security-Policy"] = SHEET_POLICY
    response.headers["X-Frame-Options"] = "SAMEORIGIN"
    return response


@bp.post("/messages/<int:message_id>/again")
def send_message_again(message_id: int) -> ResponseReturnValue:
    """Send a message once more, which may be a second time."""
    outbox_writes.send_again(context.database(), context.actor(), message_id, context.now())
    send_soon()
    return done("The message will be sent again.", "diary.message", message_id=message_id)


@bp.post("/messages/<int:message_id>/leave")
def leave_message(message_id: int) -> ResponseReturnValue:
    """Leave a message at that."""
    outbox_writes.leave(context.database(), context.actor(), message_id, context.now())
    return done("The message is left at that.", "diary.message", message_id=message_id)


def _found(message_id: int) -> OneMessage:
    return outbox_reads.one_message(
        context.reading(), message_id, context.own_address(), context.now()
    )
