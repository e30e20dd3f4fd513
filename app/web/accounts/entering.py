"""Signing in and out."""

from __future__ import annotations

from flask import redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm

from app.rules.refusal import Missing
from app.store.accounts import reads, writes
from app.web import context
from app.web.accounts import limits, visitors
from app.web.accounts.addresses import after_sign_in
from app.web.accounts.blueprint import bp
from app.web.accounts.forms import DemoForm, SignInForm
from app.web.pages import page


@bp.route("/sign-in", methods=["GET", "POST"])
@limits.sign_in_by_email
@limits.sign_in_by_address
def sign_in() -> ResponseReturnValue:
    """Sign in by email and password."""
    form = SignInForm()
    if request.method == "GET" and context.signed_in():
        return redirect(after_sign_in())
    if form.validate_on_submit() and (token := form.saved(lambda: _checked(form))) is not None:
        visitors.welcome(token)
        return redirect(after_sign_in(), code=303)
    return _sign_in_page(form)


def _checked(form: SignInForm) -> str:
    return writes.sign_in(
        context.database(),
        visitors.browser(),
        form.email.data,
        form.password.data,
        context.now(),
    )


def _sign_in_page(form: FlaskForm) -> ResponseReturnValue:
    reading = context.reading()
    return page(
        "accounts/sign_in.html",
        status=422 if request.method == "POST" else 200,
        form=form,
        next=request.args.get("next", ""),
        nobody_yet=not reads.any_account(reading),
        demo_people=reads.demo_accounts(reading) if context.settings().demo else (),
    )


@bp.post("/sign-in/demo")
@limits.sign_in_by_address
def demo_sign_in() -> ResponseReturnValue:
    """Be one of the invented people of a demo, without a password."""
    form = DemoForm()
    if not form.validate_on_submit():
        raise Missing
    token = writes.demo_sign_in(
        context.database(), visitors.browser(), form.account.data, context.now()
    )
    visitors.welcome(token)
    return redirect(after_sign_in(), code=303)


@bp.post("/sign-out")
def sign_out() -> ResponseReturnValue:
    """End this browser's sign-in."""
    writes.sign_out(context.database(), context.actor(), visitors.token() or "", context.now())
    visitors.forget()
    return redirect(url_for("accounts.sign_in"), code=303)
