"""Make a session for a student where nothing is in the way, and book them into it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

from flask import redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.rules.diary.clock import day_of
from app.rules.diary.values import SessionKind
from app.rules.diary.words import KINDS
from app.store.diary import openings
from app.store.diary.card_reads import warned_on
from app.store.diary.openings import WantedOpening
from app.store.people import reads as people
from app.web import context
from app.web.diary.days import REACH
from app.web.diary.forms import BookForm
from app.web.ids import id_asked
from app.web.mail import send_soon
from app.web.pages import done, page, refused
from app.web.progress.routes import bp

MOST_MINUTES = 24 * 60
"""Nobody means a longer session; the rules say no to much shorter ones."""


@bp.route("/students/<int:student_id>/open", methods=["GET", "POST"])
def open_place(student_id: int) -> ResponseReturnValue:
    """Ask whether to make the session in the address, and make it with the student in it."""
    student = people.student(context.reading(), student_id)
    wanted = _wanted(student_id)
    if wanted is None:
        return redirect(url_for("progress.find_place", student_id=student_id), code=303)
    shown = openings.opening(context.reading(), wanted, context.now())
    form = BookForm()
    form.offer(shown.bikes, proposed=request.args.get("bike", type=int))
    if form.validate_on_submit():
        wanted = replace(wanted, bike_id=form.wanted_bike())
        made = form.saved(
            lambda: openings.make_and_book(
                context.database(), context.actor(), wanted, form.key, context.now()
            )
        )
        if made is not None:
            send_soon()
            booked = f"{student.facts.name} is booked on {form.bike_words()}."
            return done(f"The session is made, and {booked}", "diary.session", session_id=made)
    on = day_of(shown.span.starts_at, context.zone())
    return (refused if request.method == "POST" else page)(
        "progress/open.html",
        form=form,
        shown=shown,
        kind=KINDS[wanted.kind],
        student=student,
        warnings=(*_warned(form, student, wanted, on), *shown.check),
    )


def _warned(
    form: BookForm, student: people.StudentRecord, wanted: WantedOpening, on: date
) -> tuple[str, ...]:
    return warned_on(context.reading(), student, wanted.instructor_id, form.bike_category(), on)


def _wanted(student_id: int) -> WantedOpening | None:
    """The session in the address; None where it cannot be read."""
    kind, yard, instructor = request.args.get("kind"), id_asked("yard"), id_asked("instructor")
    starts, minutes = _moment("at"), request.args.get("minutes", default=0, type=int)
    if kind not in set(SessionKind) or not (yard and instructor and starts):
        return None
    if abs(minutes) > MOST_MINUTES or abs(starts - context.now()) > REACH:
        return None
    return WantedOpening(student_id, SessionKind(kind), yard, instructor, starts, minutes, None)


def _moment(name: str) -> datetime | None:
    """An aware moment in the address, as 2026-12-03T14:30:00+00:00."""
    try:
        moment = datetime.fromisoformat(request.args.get(name, ""))
    except ValueError:
        return None
    return moment.astimezone(UTC) if moment.tzinfo else None
