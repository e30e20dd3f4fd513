"""Where each role lands."""

from __future__ import annotations

from flask import Blueprint, redirect, url_for
from flask.typing import ResponseReturnValue

from app.rules.diary.clock import monday_of
from app.rules.diary.showing import SCHOOL
from app.store.diary.attention import attention
from app.store.diary.day_reads import sheet_of
from app.store.diary.spread import spread
from app.store.diary.week_reads import DAYS, week_of
from app.store.progress import reads as progress
from app.store.progress.outlook import outlook
from app.store.riding.board import sessions_of
from app.store.riding.incidents import open_incidents
from app.store.riding.mock_reads import mock_tests_of
from app.store.school import reads as school
from app.web.context import actor, now, reading, settings, signed_in, today, zone
from app.web.navigation import home_of
from app.web.pages import asset, page

bp = Blueprint("homes", __name__)

DAYS_AHEAD = 8
"""How many days an instructor's home shows, today among them."""


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
    return page(
        "homes/office.html",
        figures=school.figures(reading()),
        incidents=open_incidents(reading()),
    )


@bp.get("/desk")
def desk() -> ResponseReturnValue:
    """The desk's home: find a student, today, this week, and what needs a look."""
    loaded = spread(reading(), monday_of(today()), DAYS, SCHOOL, now(), settings())
    return page(
        "homes/desk.html",
        sheet=sheet_of(loaded, today()),
        week=week_of(loaded),
        today=today(),
        look=attention(reading(), now(), zone()),
    )


@bp.get("/yard")
def yard() -> ResponseReturnValue:
    """An instructor's home: my sessions today, and those of the next days."""
    mine = sessions_of(reading(), actor().instructor_id or 0, today(), DAYS_AHEAD, zone())
    is_today = [session.starts_at.astimezone(zone()).date() == today() for session in mine]
    return page(
        "homes/yard.html",
        day=today(),
        today=[session for session, here in zip(mine, is_today, strict=True) if here],
        coming=[session for session, here in zip(mine, is_today, strict=True) if not here],
    )


@bp.get("/mine")
def mine() -> ResponseReturnValue:
    """A student's home: the next session, three things to practise, and their cones."""
    own = actor().student_id
    if own is None:
        return page("progress/no_record.html")
    found = progress.student_progress(reading(), own, now(), settings())
    return page(
        "progress/mine.html",
        progress=found,
        outlook=outlook(reading(), own, now()),
        mock_tests=mock_tests_of(reading(), own),
    )
