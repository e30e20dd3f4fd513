"""The pages for what goes wrong."""

from __future__ import annotations

from typing import Any

from flask import Flask, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from app.rules.refusal import Missing, Refused
from app.store.people.reads import kept_instead
from app.web import context
from app.web.answers import trouble, wants_json
from app.web.context import signed_in
from app.web.pages import page

_IN_WORDS = {
    400: "This could not be read. Nothing was kept.",
    401: "Sign in, then send again.",
    403: "This sign-in does not record rides.",
    413: "That is too much at once. Nothing was kept.",
}


_STALE = "The form token is not valid. Ask for a new one and send again."


def _http(error: HTTPException) -> ResponseReturnValue:
    if error.response is not None or (error.code or 500) < 400:
        return error
    if wants_json():
        code = error.code or 500
        return trouble(code, _IN_WORDS.get(code, "That did not work. Nothing was kept."))
    return page("errors/failure.html", status=error.code or 500, code=error.code or 500, detail="")


def _missing(_error: Missing) -> ResponseReturnValue:
    kept_id = _merged_into()
    if kept_id is not None:
        values: dict[str, Any] = {
            **request.args,
            **(request.view_args or {}),
            "student_id": kept_id,
        }
        return redirect(url_for(str(request.endpoint), **values))
    return page("errors/failure.html", status=404, code=404, detail="")


def _merged_into() -> int | None:
    """The record that the student in the address was merged into, where staff ask for a page."""
    student_id = (request.view_args or {}).get("student_id")
    if request.method != "GET" or student_id is None or not context.sees_everyone():
        return None
    return kept_instead(context.reading(), student_id)


def _refused(error: Refused) -> ResponseReturnValue:
    return page("errors/failure.html", status=409, code=409, detail=str(error))


def _csrf(error: CSRFError) -> ResponseReturnValue:
    if request.endpoint == "accounts.sign_out":
        return redirect(url_for("accounts.sign_in"), code=303)
    if wants_json():
        code = 400 if signed_in() else 401
        return trouble(code, _STALE if code == 400 else _IN_WORDS[401])
    detail = "This page had been open too long. Go back, load it again and send it once more."
    return page("errors/failure.html", status=error.code or 400, code=400, detail=detail)


def install(app: Flask) -> None:
    """Answer every failure in the app's own hand."""
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(CSRFError, _csrf)
    app.register_error_handler(Missing, _missing)
    app.register_error_handler(Refused, _refused)
