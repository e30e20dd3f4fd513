"""The diary by week and by day, and the student's card."""

from __future__ import annotations

from datetime import timedelta

from flask.typing import ResponseReturnValue

from app.rules.diary.clock import day_of, monday_of
from app.store.diary import card_reads, reads
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.days import asked
from app.web.pages import page


@bp.get("/sessions")
def week() -> ResponseReturnValue:
    """The sessions of a week."""
    wanted = asked()
    monday = monday_of(wanted.day)
    return page(
        "diary/week.html",
        days=reads.week(context.reading(), monday, context.zone()),
        monday=monday,
        today=context.today(),
        earlier=monday - timedelta(days=7),
        later=monday + timedelta(days=7),
        understood=wanted.understood,
    )


@bp.get("/sessions/day")
def day() -> ResponseReturnValue:
    """One day of instructors by time, on one sheet."""
    wanted = asked()
    return page(
        "diary/day.html",
        board=reads.board(context.reading(), wanted.day, context.zone()),
        earlier=wanted.day - timedelta(days=1),
        later=wanted.day + timedelta(days=1),
        understood=wanted.understood,
    )


@bp.get("/students/<int:student_id>")
def card(student_id: int) -> ResponseReturnValue:
    """Everything that the desk sees of a student."""
    card = card_reads.card(context.reading(), student_id, context.now(), context.zone())
    last = card.soonest[-1].starts_at if card.soonest else context.now()
    last_week = monday_of(day_of(last, context.zone()))
    return page("diary/card.html", card=card, last_week=last_week)
