"""A forgotten password, and the page behind a one-time link."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.store.accounts import links, passwords
from app.web import context
from app.web.accounts import limits, visitors
from app.web.accounts.addresses import by_email, nonce_in
from app.web.accounts.blueprint import bp
from app.web.accounts.forms import AskForm, NewPasswordForm
from app.web.mail import send_soon
from app.web.pages import done, page


@bp.route("/forgotten", methods=["GET", "POST"])
@limits.forgotten_by_email
@limits.forgotten_by_address
def forgotten() -> ResponseReturnValue:
    """Ask for a new password. The answer is the same whether or not the email is known."""
    form = AskForm()
    mails = context.config().smtp is not None
    if form.validate_on_submit():
        passwords.ask(
            context.database(), visitors.origin(), form.email.data, context.now(), by_email()
        )
        send_soon()
        return page("accounts/asked.html", mails=mails, email=form.email.data)
    status = 422 if request.method == "POST" else 200
    return page("accounts/forgotten.html", status=status, form=form, mails=mails)


@bp.route("/link/<string:token>", methods=["GET", "POST"])
@limits.password_by_address
def one_time_link(token: str) -> ResponseReturnValue:
    """Choose a password by a one-time link. Looking does not use the link up."""
    nonce = nonce_in(token)
    link = links.by_nonce(context.reading(), nonce, context.now()) if nonce else None
    if link is None:
        return page("accounts/link_over.html", status=410)
    form = NewPasswordForm()
    if form.validate_on_submit():
        new_token = form.saved(
            lambda: passwords.set_by_link(
                context.database(),
                visitors.browser(),
                link.nonce,
                form.password.data,
                context.now(),
            )
        )
        if new_token is not None:
            visitors.welcome(new_token)
            return done("Your password is set.", "homes.front")
    status = 422 if request.method == "POST" else 200
    return page("accounts/one_time_link.html", status=status, form=form, link=link, token=token)
