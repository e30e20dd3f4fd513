"""The gate before every screen: closed unless the access table opens it."""

from __future__ import annotations

from flask import Flask, abort, g, redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.rules.accounts.access import OPEN, SIGNED_IN, is_known, scope_for
from app.web.accounts.tablet import stop_at_lock
from app.web.answers import wants_json
from app.web.context import signed_in


def check() -> ResponseReturnValue | None:
    """Let the request through, send it to sign in, or refuse it."""
    endpoint = request.endpoint
    if endpoint is None or endpoint in OPEN:
        return None
    if not is_known(endpoint):
        abort(404)
    person = signed_in()
    if person is None:
        return _to_sign_in()
    if endpoint not in SIGNED_IN:
        scope = scope_for(person, endpoint)
        if scope is None:
            abort(403)
        g.scope = scope
    return stop_at_lock(endpoint)


def _to_sign_in() -> ResponseReturnValue:
    if request.method != "GET" or wants_json():
        abort(401)
    return redirect(url_for("accounts.sign_in", next=request.full_path.rstrip("?")))


def install(app: Flask) -> None:
    """Stand before every request of the app."""
    app.before_request(check)
