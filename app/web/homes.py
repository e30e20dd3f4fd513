"""Where each role lands."""

from __future__ import annotations

from flask import Blueprint, redirect, url_for
from flask.typing import ResponseReturnValue

from app.store.school import reads as school
from app.web.context import reading, signed_in
from app.web.navigation import home_of
from app.web.pages import asset, page

bp = Blueprint("homes", __name__)


@bp.get("/")
def front() -> ResponseReturnValue:
    """Send a person to their own home, or to sign in."""
    person = signed_in()
    return redirect(url_for(home_of(person) if person else "accounts.sign_in"))


@bp.get("/favicon.ico")
def favicon() -> ResponseReturnValue:
    """The mark of the product, for browsers that ask at the old address."""
    return redirect(asset("icons/yardmark-32.png"))


@bp.get("/office")
def office() -> ResponseReturnValue:
    """The owner's home: the school at a glance, and where to change it."""
    return page("homes/office.html", figures=school.figures(reading()))
