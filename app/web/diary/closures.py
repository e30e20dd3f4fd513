"""When the school is open, and when it is closed for once."""

from __future__ import annotations

from datetime import timedelta

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.people.hours import hours_version, week_words
from app.store.diary.concerned import concerned
from app.store.diary.holidays import bank_holidays
from app.store.yards import opening
from app.store.yards import reads as yards
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.calendar_forms import ClosureForm, OpeningForm, week_values
from app.web.pages import done, page, refused
from app.web.versions import version_sent


@bp.route("/opening", methods=["GET", "POST"])
def opening_hours() -> ResponseReturnValue:
    """When the school is open in a week."""
    hours = opening.opening_hours(context.reading())
    form = OpeningForm(data=week_values(hours) | {"version": hours_version(hours)})
    if form.validate_on_submit():
        kept = form.saved(
            lambda: opening.set_opening_hours(
                context.database(), context.actor(), version_sent(), form.hours(), context.now()
            )
        )
        if kept is not None:
            said = "The opening hours are kept." if kept else "The school is open at any time now."
            return done(said, "diary.closures")
    answer = refused if request.method == "POST" else page
    return answer("diary/opening.html", form=form)


@bp.get("/closures")
def closures() -> ResponseReturnValue:
    """When the school is open, what is closed when, and the bank holidays to come."""
    reading = context.reading()
    found = opening.closures(reading, context.today())
    outs = [each.out for each in found]
    counts = concerned(reading, outs, context.now(), context.zone())
    last = context.today() + timedelta(days=365)
    holidays = bank_holidays(context.settings().nation, context.today(), last)
    return page(
        "diary/closures.html",
        week=list(week_words(hours)) if (hours := opening.opening_hours(reading)) else (),
        closures=list(zip(found, counts, strict=True)),
        holidays=sorted(holidays.items()),
        open_on_bank_holidays=context.settings().open_on_bank_holidays,
    )


@bp.route("/closures/new", methods=["GET", "POST"])
def new_closure() -> ResponseReturnValue:
    """Close the school or a yard for some days."""
    form = ClosureForm()
    form.offer(yards.yards(context.reading()))
    if form.validate_on_submit():
        made = form.saved(
            lambda: opening.add_closure(
                context.database(),
                context.actor(),
                form.out(),
                form.key,
                context.today(),
                context.now(),
            )
        )
        if made is not None:
            return done("The closure is kept.", "diary.closures")
    answer = refused if request.method == "POST" else page
    return answer("diary/new_closure.html", form=form)


@bp.get("/closures/<int:closure_id>/take-away")
def ask_take_closure_away(closure_id: int) -> ResponseReturnValue:
    """Show the closure that would be taken away."""
    return page(
        "diary/take_closure_away.html",
        closure=opening.closure(context.reading(), closure_id),
    )


@bp.post("/closures/<int:closure_id>/take-away")
def take_closure_away(closure_id: int) -> ResponseReturnValue:
    """Take a closure away."""
    opening.take_closure_away(context.database(), context.actor(), closure_id, context.now())
    return done("The closure is taken away.", "diary.closures")
