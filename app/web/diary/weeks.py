"""The diary by week and by day, and the student's card."""

from __future__ import annotations

from flask.typing import ResponseReturnValue

from app.rules.diary.clock import day_of, monday_of
from app.store.diary import card_reads, day_reads, week_reads
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.days import asked
from app.web.diary.views import asked_showing, choices, moves
from app.web.pages import page


@bp.get("/sessions")
def week() -> ResponseReturnValue:
    """A week of everyone, or of one instructor, yard or bike."""
    wanted, showing = asked(), asked_showing()
    monday = monday_of(wanted.day)
    found = week_reads.week(context.reading(), monday, showing, context.now(), context.settings())
    return page(
        "diary/week.html",
        week=found,
        today=context.today(),
        moves=moves("diary.week", monday, context.today(), showing, step=7),
        groups=choices(found.roster, showing),
        understood=wanted.understood,
    )


@bp.get("/sessions/day")
def day() -> ResponseReturnValue:
    """One day by time, on one sheet: of everyone, or of one instructor, yard or bike."""
    wanted, showing = asked(), asked_showing()
    found = day_reads.day_sheet(
        context.reading(), wanted.day, showing, context.now(), context.settings()
    )
    return page(
        "diary/day.html",
        sheet=found,
        today=context.today(),
        moves=moves("diary.day", wanted.day, context.today(), showing, step=1),
        groups=choices(found.roster, showing),
        understood=wanted.understood,
    )


@bp.get("/students/<int:student_id>")
def card(student_id: int) -> ResponseReturnValue:
    """Everything that the desk sees of a student."""
    card = card_reads.card(context.reading(), student_id, context.now(), context.zone())
    last = card.soonest[-1].starts_at if card.soonest else context.now()
    last_week = monday_of(day_of(last, context.zone()))
    return page("diary/card.html", card=card, last_week=last_week)
