"""My own account."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.accounts.codes import BY_CODE
from app.store.accounts import lists, passwords, tablet, writes
from app.web import context
from app.web.accounts import limits, visitors
from app.web.accounts.blueprint import bp
from app.web.accounts.forms import ChangePasswordForm, ChooseCodeForm
from app.web.pages import done, page


@bp.get("/me")
def me() -> ResponseReturnValue:
    """Who I am here, my password, and where I am signed in."""
    return my_page()


def my_page(
    form: ChangePasswordForm | None = None, code_form: ChooseCodeForm | None = None
) -> ResponseReturnValue:
    """The page, with a form that was sent and refused, if any."""
    reading, mine = context.reading(), context.actor().account_id
    return page(
        "accounts/me.html",
        status=422 if request.method == "POST" else 200,
        form=form or ChangePasswordForm(formdata=None),
        code_form=code_form or ChooseCodeForm(formdata=None),
        code_set_at=tablet.code_set_at(reading, mine) if context.actor().has(*BY_CODE) else None,
        mine=lists.mine(reading, mine, visitors.token() or "", context.now()),
    )


@bp.post("/me/password")
@limits.password_by_address
def change_password() -> ResponseReturnValue:
    """Change my password and sign out everywhere else."""
    form = ChangePasswordForm()
    if form.validate_on_submit() and (token := form.saved(lambda: _changed(form))) is not None:
        visitors.welcome(token)
        return done("Your password is changed. Other browsers are signed out.", "accounts.me")
    return my_page(form)


def _changed(form: ChangePasswordForm) -> str:
    return passwords.change(
        context.database(),
        context.actor(),
        visitors.browser(),
        form.current.data,
        form.password.data,
        context.now(),
    )


@bp.post("/me/sign-ins/<int:sign_in_id>/end")
def end_sign_in(sign_in_id: int) -> ResponseReturnValue:
    """Sign out in one of my other browsers."""
    writes.end_sign_in(context.database(), context.actor(), sign_in_id, context.now())
    return done("That browser is signed out.", "accounts.me")
