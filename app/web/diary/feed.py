"""What stands at a secret calendar address: read by other programs, without any sign-in."""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256
from pathlib import Path

from flask import Response, request
from flask.typing import ResponseReturnValue

from app.store.diary import feed_addresses, feed_reads
from app.store.diary.feed_reads import FeedContent
from app.web import context
from app.web.accounts import limits
from app.web.diary import ical
from app.web.diary.blueprint import bp

_FORM = sha256(Path(ical.__file__).read_bytes()).hexdigest()
"""Changes when a release writes calendars in another way."""

_NEVER = "There is no calendar at this address. Ask the school for a new one.\n"
_OVER = "This calendar address has been ended. Ask the school for a new one.\n"


@bp.get("/calendars/<string:token>.ics")
@limits.calendar_by_secret
@limits.calendar_by_address
def feed(token: str) -> ResponseReturnValue:
    """A calendar (RFC 5545), or a plain sentence when the address opens none."""
    found = feed_addresses.find(context.reading(), token)
    if found is None:
        return _sentence(_NEVER, 404)
    if found.over:
        return _sentence(_OVER, 410)
    content = feed_reads.content(context.reading(), found, context.settings(), context.now())
    answer = _answer(content)
    if answer.status_code == 200:
        answer.data = ical.written(content, context.settings(), context.now())
    return answer


def _answer(content: FeedContent) -> Response:
    """The headers of a calendar, or 304 without one for a reader who has it already.

    The tag is weak (RFC 9110, section 8.8.1): each writing has its own time stamps. A reader
    keeps a copy but asks each time, so that an ended address is over at once.
    """
    answer = Response(mimetype="text/calendar")
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["Content-Disposition"] = 'attachment; filename="sessions.ics"'
    answer.headers["X-Robots-Tag"] = "noindex"
    answer.set_etag(_tag(content), weak=True)
    # Within one second two changes would have the same date.
    if context.now() - content.changed_at > timedelta(seconds=1):
        answer.last_modified = content.changed_at
    answer.make_conditional(request)
    return answer


def _tag(content: FeedContent) -> str:
    said = f"{_FORM} {content.name} {content.events} {context.settings().school_email}"
    return sha256(said.encode()).hexdigest()[:32]


def _sentence(words: str, status: int) -> Response:
    answer = Response(words, status, mimetype="text/plain")
    answer.headers["Cache-Control"] = "no-store"
    return answer
