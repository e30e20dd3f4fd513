"""Everyone who can sign in, and what an owner changes about it."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.accounts.authority import may_let_in
from app.rules.accounts.roles import Role
from app.store.accounts import colleagues, links, lists
from app.store.accounts.colleagues import Colleague
from app.web import context
from app.web.accounts.addresses import by_email
from app.web.accounts.blueprint import bp
from app.web.accounts.forms import ColleagueForm, EditForm
from app.web.mail import send_soon
from app.web.pages import done, page, refused


@bp.get("/accounts")
def everyone() -> ResponseReturnValue:
    """Everyone who can sign in: colleagues, then students; first, who waits for a link."""
    reading = context.reading()
    accounts = lists.everyone(reading)
    students = tuple(each for each in accounts if each.roles == {Role.STUDENT})
    return page(
        "accounts/everyone.html",
        waiting=links.waiting(reading, context.now()),
        colleagues=tuple(each for each in accounts if each not in students),
        students=students,
        may_let_in=lambda roles: may_let_in(context.actor(), roles),
    )


def _typed(form: ColleagueForm) -> Colleague:
    return Colleague(form.name.data, form.email.data, frozenset(Role(r) for r in form.roles.data))


@bp.route("/accounts/new", methods=["GET", "POST"])
def add() -> ResponseReturnValue:
    """Make a colleague's account."""
    form = ColleagueForm()
    if form.validate_on_submit() and (new := form.saved(lambda: _added(form))) is not None:
        send_soon()
        return done(
            f"{form.name.data} can come in by this link.", "accounts.show_link", account_id=new
        )
    answer = refused if request.method == "POST" else page
    return answer("accounts/add.html", form=form)


def _added(form: ColleagueForm) -> int:
    return colleagues.add(
        context.database(), context.actor(), form.key, _typed(form), context.now(), by_email()
    )


@bp.route("/accounts/<int:account_id>", methods=["GET", "POST"])
def edit(account_id: int) -> ResponseReturnValue:
    """Change a person's name, email and roles."""
    account = lists.one(context.reading(), account_id)
    form = EditForm(data=_as_it_stands(account))
    if form.validate_on_submit() and form.saved(lambda: _edited(form, account_id)) is not None:
        return done("Saved.", "accounts.everyone")
    answer = refused if request.method == "POST" else page
    return answer("accounts/edit.html", form=form, account=account)


def _as_it_stands(account: lists.AccountLine) -> dict[str, object]:
    return {
        "name": account.name,
        "email": account.email,
        "roles": [role.value for role in account.roles],
        "version": account.version,
    }


def _edited(form: EditForm, account_id: int) -> int:
    return colleagues.edit(
        context.database(),
        context.actor(),
        account_id,
        int(form.version.data),
        _typed(form),
        context.now(),
    )


@bp.post("/accounts/<int:account_id>/close")
def close(account_id: int) -> ResponseReturnValue:
    """Close an account, so that the person cannot sign in."""
    colleagues.close(context.database(), context.actor(), account_id, context.now())
    return done("The account is closed, and signed out everywhere.", "accounts.everyone")


@bp.post("/accounts/<int:account_id>/reopen")
def reopen(account_id: int) -> ResponseReturnValue:
    """Open a closed account again."""
    colleagues.reopen(context.database(), context.actor(), account_id, context.now())
    return done("The account is open again.", "accounts.everyone")
