"""How a page is answered: rendered, refused, or left for another."""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from flask import Flask, Response, flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from jinja2 import StrictUndefined

from app.rules import words
from app.rules.yards.speed import speed_words
from app.store.people.phones import dialled
from app.web import context
from app.web.navigation import menu


def page(template: str, *, status: int = 200, **values: Any) -> ResponseReturnValue:
    """Render a page."""
    return render_template(template, **values), status


def refused(template: str, **values: Any) -> ResponseReturnValue:
    """Render a form again with its sentences; nothing was saved."""
    return page(template, status=422, **values)


def done(sentence: str, endpoint: str, **values: Any) -> ResponseReturnValue:
    """Say what was done and go on to another page."""
    flash(sentence)
    return redirect(url_for(endpoint, **values), code=303)


def static_folder() -> Path:
    """Where this server's styles, scripts and letters are."""
    return context.config().static


@lru_cache(maxsize=256)
def _fingerprint(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a static file, which changes when the file does."""
    return url_for("static", filename=name, v=_fingerprint(static_folder() / name))


def _common() -> dict[str, Any]:
    """What every page is given."""
    person = context.signed_in()
    return {
        "person": person,
        "nav": menu(person) if person else (),
        "demo": context.settings().demo,
        "school_name": context.settings().school_name,
        "lock_minutes": context.settings().lock_minutes,
    }


CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""What a page may load and do: nothing from elsewhere, nothing written into the page itself."""

_HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=()",
}


def _headers(response: Response) -> Response:
    for name, value in _HEADERS.items():
        response.headers.setdefault(name, value)
    if response.mimetype == "text/html":
        response.headers.setdefault("Cache-Control", "private, no-store")
    return response


def install(app: Flask) -> None:
    """Teach the app's templates our words, and give every answer its headers."""
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.filters.update(
        day=words.date_words,
        time=lambda moment: words.time_words(moment, context.zone()),
        moment=lambda moment: words.moment_words(moment, context.zone()),
        speed=speed_words,
        count=words.count_words,
        duration=words.duration_words,
        dialled=lambda phone: dialled(phone, context.settings().phone_region),
    )
    app.jinja_env.globals["asset"] = asset
    app.context_processor(_common)
    app.after_request(_headers)
