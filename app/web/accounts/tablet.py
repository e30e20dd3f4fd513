"""The tablet that instructors share: hand over, lock, and go on where it was left."""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import current_app, redirect, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

from app.rules.accounts.access import THROUGH_THE_LOCK
from app.rules.accounts.codes import BY_CODE, SEEN_EVERY, code_opens, is_locked
from app.rules.accounts.roles import Role
from app.store.accounts import tablet as store
from app.store.accounts.reads import Visit
from app.web import context
from app.web.accounts import limits, visitors
from app.web.accounts.addresses import after_sign_in
from app.web.accounts.blueprint import bp
from app.web.accounts.forms import ChooseCodeForm, SignInForm, TakeOverForm
from app.web.accounts.mine import my_page
from app.web.pages import done, page

_KEPT_FOR = "riding"
"""The room whose forms outlive the lock: a ride is not to be lost. No other form is kept."""


def stop_at_lock(endpoint: str) -> ResponseReturnValue | None:
    """The lock's page when this browser is locked; otherwise note that it is in use."""
    visit = visitors.visit()
    if endpoint in THROUGH_THE_LOCK:
        return None
    if _is_locked(visit):
        if request.method == "GET":
            return redirect(url_for("accounts.tablet", next=request.full_path.rstrip("?")))
        return _tablet_page(TakeOverForm(formdata=None), 423, _sent())
    if Role.INSTRUCTOR in visit.here.roles and context.now() - visit.here.seen_at >= SEEN_EVERY:
        store.note_seen(context.database(), visit.sign_in_id, context.now())
    return None


def _is_locked(visit: Visit) -> bool:
    if visit.here.roles.isdisjoint(BY_CODE) and not visit.here.locked_at:
        return False
    minutes = context.settings().lock_minutes
    return is_locked(visit.here, context.now(), context.zone(), minutes)


def _sent() -> list[tuple[str, str]]:
    """The fields of a form that met the lock, to be sent again once it is open."""
    if request.blueprint != _KEPT_FOR:
        return []
    fields = [(n, v) for n, v in request.form.items(multi=True) if n != "csrf_token"]
    return [("kept_path", request.path), *fields]


def _tablet_page(
    form: TakeOverForm, status: int, kept: list[tuple[str, str]]
) -> ResponseReturnValue:
    visit = visitors.visit()
    form.offer(store.colleagues(context.reading()), visit.actor.account_id)
    return page(
        "accounts/tablet.html",
        status=status,
        form=form,
        kept=kept,
        next=request.args.get("next", ""),
        locked=_is_locked(visit),
        codes_open=code_opens(visit.here.began_at, context.now(), context.zone()),
        password_form=SignInForm(formdata=None, data={"email": visit.email}),
    )


@bp.get("/tablet")
def tablet() -> ResponseReturnValue:
    """Who is at this tablet, and who takes over by their code."""
    return _tablet_page(TakeOverForm(), 200, [])


@bp.post("/tablet")
def take_over() -> ResponseReturnValue:
    """Open the tablet by a code: for whoever was at it, or for a colleague."""
    form = TakeOverForm()
    visit = visitors.visit()
    form.offer(store.colleagues(context.reading()), visit.actor.account_id)
    if form.validate_on_submit() and (taken := form.saved(lambda: _taken(form))) is not None:
        if taken == visit.actor.account_id:
            return _where_it_was_left()
        return done(f"{form.name_of(taken)} is at this tablet.", "homes.yard")
    kept = [(n, v) for n, v in request.form.items(multi=True) if n not in form]
    return _tablet_page(form, 422, kept)


def _taken(form: TakeOverForm) -> int:
    return store.take_over(
        context.database(),
        visitors.visit().sign_in_id,
        form.who.data,
        form.tablet_code.data or "",
        visitors.origin(),
        context.now(),
    )


def _where_it_was_left() -> ResponseReturnValue:
    """Send the form that met the lock once more, or open the page that did."""
    path = request.form.get("kept_path", "")
    if _takes_forms(path):
        return redirect(path, code=307)
    return redirect(after_sign_in(), code=303)


def _takes_forms(path: str) -> bool:
    """Whether it is the path of a form whose content was kept."""
    adapter = current_app.create_url_adapter(request)
    if adapter is None or not path.startswith("/") or urlsplit(path).path != path:
        return False
    try:
        endpoint, _ = adapter.match(path, method="POST")
    except (HTTPException, RequestRedirect, ValueError):
        return False
    return str(endpoint).partition(".")[0] == _KEPT_FOR


@bp.post("/tablet/lock")
def lock() -> ResponseReturnValue:
    """Lock this tablet until a code or password opens it."""
    store.lock(context.database(), visitors.visit().sign_in_id, context.now())
    return redirect(url_for("accounts.tablet", next=request.args.get("next") or None), code=303)


@bp.post("/me/code")
@limits.password_by_address
def set_code() -> ResponseReturnValue:
    """Choose my own code for the shared tablet."""
    form = ChooseCodeForm()
    if form.validate_on_submit() and form.saved(lambda: _chosen(form)) is not None:
        return done(
            "Your code is set. A tablet opened by an earlier code is locked.", "accounts.me"
        )
    return my_page(code_form=form)


def _chosen(form: ChooseCodeForm) -> int:
    return store.set_code(
        context.database(),
        context.actor(),
        form.proof.data,
        form.code.data or "",
        context.now(),
    )
