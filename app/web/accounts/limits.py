"""How often one address, and one email, may try."""

from __future__ import annotations

from datetime import timedelta
from math import ceil
from time import time

from flask import Flask, Response, make_response, request
from flask.typing import ResponseReturnValue
from flask_limiter import Limiter, RateLimitExceeded
from flask_limiter.util import get_remote_address

from app.web import context
from app.web.pages import page

# One limiter for the process, as the routes that it guards are; the app built last sets it up.
limiter = Limiter(get_remote_address, storage_uri="memory://")


def email_typed() -> str:
    """The email in the form, however it is spelt; empty when there is none."""
    return request.form.get("email", "").strip().lower()[:254]


def _was_refused(response: Response) -> bool:
    return response.status_code == 422


# Counted are the tries that failed, so that a busy desk is never shut out of its own school.
sign_in_by_email = limiter.limit(
    "10 per 15 minutes", key_func=email_typed, methods=["POST"], deduct_when=_was_refused
)
sign_in_by_address = limiter.limit("40 per 15 minutes", methods=["POST"], deduct_when=_was_refused)
forgotten_by_email = limiter.limit("3 per hour", key_func=email_typed, methods=["POST"])
forgotten_by_address = limiter.limit("20 per hour", methods=["POST"])
# A reader asks for its calendar again and again; only addresses that never were count as guesses.
calendar_by_secret = limiter.limit(
    "60 per 15 minutes", key_func=lambda: str((request.view_args or {}).get("token", ""))
)
calendar_by_address = limiter.limit("40 per 15 minutes", deduct_when=lambda r: r.status_code == 404)
password_by_address = limiter.limit("10 per 15 minutes", methods=["POST"], deduct_when=_was_refused)


def _too_often(error: RateLimitExceeded) -> ResponseReturnValue:
    minutes = max(1, ceil(_seconds_left(error) / 60))
    again = context.now() + timedelta(minutes=minutes)
    answer = make_response(page("accounts/wait.html", status=429, minutes=minutes, again=again))
    answer.headers["Retry-After"] = str(minutes * 60)
    return answer


def _seconds_left(error: RateLimitExceeded) -> float:
    # The limiter reads the machine's clock, so what is left is counted by the same one. It adds
    # a second to be on the safe side.
    current = limiter.current_limit
    return current.reset_at - 1 - time() if current else float(error.limit.limit.get_expiry())


def install(app: Flask) -> None:
    """Guard the app, unless its configuration says not to."""
    limiter.init_app(app)
    app.register_error_handler(RateLimitExceeded, _too_often)
