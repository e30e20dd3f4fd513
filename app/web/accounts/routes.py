"""Signing in and out."""

from __future__ import annotations

from flask import Blueprint, redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.store.accounts import reads, writes
from app.web import context
from app.web.accounts import limits, visitors
from app.web.accounts.forms import SignInForm
from app.web.pages import page, refused

bp = Blueprint("accounts", __name__)


@bp.route("/sign-in", methods=["GET", "POST"])
@limits.sign_in_by_email
@limits.sign_in_by_address
def sign_in() -> ResponseReturnValue:
    """Sign in by email and password."""
    form = SignInForm()
    if form.validate_on_submit():
        token = form.saved(
            lambda: writes.sign_in(
                context.database(),
                visitors.browser(),
                form.email.data,
                form.password.data,
                context.now(),
            )
        )
        if token is not None:
            visitors.welcome(token)
            return redirect(url_for("homes.front"), code=303)
    answer = refused if request.method == "POST" else page
    return answer("accounts/sign_in.html", form=form)


@bp.post("/sign-out")
def sign_out() -> ResponseReturnValue:
    """End this browser's sign-in."""
    writes.sign_out(context.database(), context.actor(), visitors.token() or "", context.now())
    visitors.forget()
    return redirect(url_for("accounts.sign_in"), code=303)


@bp.get("/me")
def me() -> ResponseReturnValue:
    """My own account."""
    return page("accounts/me.html", any_account=reads.any_account(context.reading()))
