"""One instructor at the desk: hours, days off and authorisations."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.people.authorisations import AUTHORISATION_WORDS
from app.rules.people.hours import week_words
from app.store.diary.concerned import concerned
from app.store.people import instructor_reads as reads
from app.store.people import instructor_writes as writes
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.calendar_forms import DaysOffForm, InstructorForm, instructor_values
from app.web.pages import done, page, refused
from app.web.versions import version_sent


def _record(instructor_id: int) -> reads.InstructorRecord:
    return reads.instructor(context.reading(), instructor_id, context.today())


@bp.get("/instructors/<int:instructor_id>")
def instructor(instructor_id: int) -> ResponseReturnValue:
    """When an instructor works and what they may teach."""
    record = _record(instructor_id)
    outs = [each.out for each in record.days_off]
    counts = concerned(context.reading(), outs, context.now(), context.zone())
    return page(
        "diary/instructor.html",
        instructor=record,
        week=list(week_words(record.facts.hours)) if record.facts.hours else (),
        days_off=list(zip(record.days_off, counts, strict=True)),
        authorisations=[
            (words, kind in record.facts.authorisations, record.facts.authorisations.get(kind))
            for kind, words in AUTHORISATION_WORDS.items()
        ],
        today=context.today(),
    )


@bp.route("/instructors/<int:instructor_id>/edit", methods=["GET", "POST"])
def edit_instructor(instructor_id: int) -> ResponseReturnValue:
    """Change an instructor's name, hours and authorisations."""
    record = _record(instructor_id)
    form = InstructorForm(data=instructor_values(record.facts) | {"version": record.version})
    if form.validate_on_submit():
        kept = form.saved(
            lambda: writes.edit_instructor(
                context.database(),
                context.actor(),
                instructor_id,
                version_sent(),
                form.facts(),
                context.today(),
                context.now(),
            )
        )
        if kept is not None:
            return done("The record is kept.", "diary.instructor", instructor_id=instructor_id)
    answer = refused if request.method == "POST" else page
    return answer("diary/edit_instructor.html", form=form, instructor=record)


@bp.route("/instructors/<int:instructor_id>/days-off/new", methods=["GET", "POST"])
def new_days_off(instructor_id: int) -> ResponseReturnValue:
    """Write an instructor's days off down."""
    record = _record(instructor_id)
    form = DaysOffForm()
    if form.validate_on_submit():
        made = form.saved(
            lambda: writes.add_days_off(
                context.database(),
                context.actor(),
                instructor_id,
                form.out(),
                form.key,
                context.today(),
                context.now(),
            )
        )
        if made is not None:
            return done("The days off are kept.", "diary.instructor", instructor_id=instructor_id)
    answer = refused if request.method == "POST" else page
    return answer("diary/new_days_off.html", form=form, instructor=record)


@bp.get("/days-off/<int:day_off_id>/take-away")
def ask_take_days_off_away(day_off_id: int) -> ResponseReturnValue:
    """Show the days off that would be taken away."""
    days_off = reads.days_off(context.reading(), day_off_id)
    return page(
        "diary/take_days_off_away.html",
        days_off=days_off,
        instructor=_record(days_off.instructor_id),
    )


@bp.post("/days-off/<int:day_off_id>/take-away")
def take_days_off_away(day_off_id: int) -> ResponseReturnValue:
    """Take days off away."""
    instructor_id = writes.take_days_off_away(
        context.database(), context.actor(), day_off_id, context.now()
    )
    said = "The days off are taken away."
    return done(said, "diary.instructor", instructor_id=instructor_id)
