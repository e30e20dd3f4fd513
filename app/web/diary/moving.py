"""Holding, confirming and moving a booking at the desk."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.words import moment_words
from app.store.diary import booking_writes, move_reads, moving, reads
from app.store.diary.booking_writes import WantedPlace
from app.store.people import reads as people
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.bookings import bikes_for, book_again
from app.web.diary.forms import BookForm
from app.web.diary.life_forms import MoveForm
from app.web.mail import send_soon
from app.web.pages import done, page, refused
from app.web.versions import version_sent


@bp.post("/sessions/<int:session_id>/hold/<int:student_id>")
def hold(session_id: int, student_id: int) -> ResponseReturnValue:
    """Hold a place for a student who has to think about it."""
    shown = reads.session_page(context.reading(), session_id, context.now())
    student = people.student(context.reading(), student_id)
    form = BookForm()
    form.offer(bikes_for(shown, student))
    if form.validate_on_submit():
        wanted = WantedPlace(session_id, student_id, form.wanted_bike())
        made = form.saved(
            lambda: booking_writes.hold(
                context.database(), context.actor(), wanted, form.key, context.now()
            )
        )
        if made is not None:
            said = f"The place is held for {student.facts.name}. Book it before the time is over."
            return done(said, "diary.session", session_id=session_id)
    return book_again(form, shown, student)


@bp.post("/bookings/<int:booking_id>/confirm")
def confirm(booking_id: int) -> ResponseReturnValue:
    """Book a place that is held."""
    who = reads.booked_place(context.reading(), booking_id).student
    session_id = booking_writes.confirm(
        context.database(), context.actor(), booking_id, version_sent(), context.now()
    )
    send_soon()
    return done(f"{who} is booked.", "diary.session", session_id=session_id)


@bp.route("/bookings/<int:booking_id>/move", methods=["GET", "POST"])
def move(booking_id: int) -> ResponseReturnValue:
    """Move a booking to another time."""
    place = reads.booked_place(context.reading(), booking_id)
    shown = reads.session_page(context.reading(), place.session_id, context.now())
    form = MoveForm(data={"version": place.version})
    form.offer(move_reads.ways(context.reading(), booking_id, context.now(), context.zone()))
    if form.validate_on_submit():
        moved = form.saved(
            lambda: moving.move(
                context.database(),
                context.actor(),
                booking_id,
                version_sent(),
                form.wanted(),
                context.now(),
            )
        )
        if moved is not None:
            send_soon()
            return done(_said(place.student, moved), "diary.session", session_id=moved.session_id)
    answer = refused if request.method == "POST" else page
    return answer("diary/move.html", form=form, place=place, shown=shown)


def _said(student: str, moved: moving.Moved) -> str:
    line = reads.session_page(context.reading(), moved.session_id, context.now()).line
    said = f"{student} now comes on {moment_words(line.starts_at, context.zone())}."
    if moved.late:
        said += f" That was with less than {context.settings().notice_hours} hours’ notice."
    return said
