"""Where each role lands."""

from __future__ import annotations

from flask import Blueprint, redirect, url_for
from flask.typing import ResponseReturnValue

from app.rules.diary.clock import monday_of
from app.store.diary import reads as diary
from app.store.diary.attention import attention
from app.store.school import reads as school
from app.web.context import now, reading, signed_in, today, zone
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


@bp.get("/desk")
def desk() -> ResponseReturnValue:
    """The desk's home: find a student, today, this week, and what needs a look."""
    return page(
        "homes/desk.html",
        board=diary.board(reading(), today(), zone()),
        days=diary.week(reading(), monday_of(today()), zone()),
        look=attention(reading(), now(), zone()),
    )
