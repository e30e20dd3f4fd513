"""Bookings at the desk: making and cancelling them, and who came."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.diary.clock import day_of
from app.rules.diary.values import BookingState
from app.store.diary import booking_writes, card_reads, reads
from app.store.diary.booking_writes import WantedPlace
from app.store.people import reads as people
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.forms import BikeForm, BookForm
from app.web.mail import send_soon
from app.web.pages import done, page, refused
from app.web.versions import version_sent


@bp.route("/sessions/<int:session_id>/book/<int:student_id>", methods=["GET", "POST"])
def book(session_id: int, student_id: int) -> ResponseReturnValue:
    """Book a student into a session, with a bike proposed."""
    shown = reads.session_page(context.reading(), session_id)
    student = people.student(context.reading(), student_id)
    form = BookForm()
    bikes = card_reads.free_bikes(context.reading(), shown.line, student.facts.category)
    form.offer(bikes, proposed=request.args.get("bike", type=int))
    if form.validate_on_submit():
        wanted = WantedPlace(session_id, student_id, form.wanted_bike())
        made = form.saved(
            lambda: booking_writes.book(
                context.database(), context.actor(), wanted, form.key, context.now()
            )
        )
        if made is not None:
            send_soon()
            said = f"{student.facts.name} is booked on {form.bike_words()}."
            return done(said, "diary.session", session_id=session_id)
    on = day_of(shown.line.starts_at, context.zone())
    warnings = card_reads.warned_on(context.reading(), student, on)
    answer = refused if request.method == "POST" else page
    return answer("diary/book.html", form=form, shown=shown, student=student, warnings=warnings)


@bp.route("/bookings/<int:booking_id>/bike", methods=["GET", "POST"])
def change_bike(booking_id: int) -> ResponseReturnValue:
    """Give a student who is booked another bike."""
    place = reads.booked_place(context.reading(), booking_id)
    shown = reads.session_page(context.reading(), place.session_id)
    student = people.student(context.reading(), place.student_id)
    form = BikeForm(data={"version": place.version})
    form.offer(card_reads.free_bikes(context.reading(), shown.line, student.facts.category))
    if form.validate_on_submit():
        kept = form.saved(
            lambda: booking_writes.change_bike(
                context.database(),
                context.actor(),
                booking_id,
                version_sent(),
                form.wanted_bike(),
                context.now(),
            )
        )
        if kept is not None:
            send_soon()
            said = f"{student.facts.name} now rides {form.bike_words()}."
            return done(said, "diary.session", session_id=kept)
    answer = refused if request.method == "POST" else page
    return answer("diary/change_bike.html", form=form, shown=shown, place=place, student=student)


@bp.get("/bookings/<int:booking_id>/cancel")
def ask_cancel_booking(booking_id: int) -> ResponseReturnValue:
    """Show what giving a place up would end."""
    place = reads.booked_place(context.reading(), booking_id)
    shown = reads.session_page(context.reading(), place.session_id)
    open_still = place.state is BookingState.BOOKED and shown.line.ends_at > context.now()
    return page(
        "diary/cancel_booking.html",
        place=place,
        shown=shown,
        open_still=open_still,
        notice_hours=context.settings().notice_hours,
    )


@bp.post("/bookings/<int:booking_id>/cancel")
def cancel_booking(booking_id: int) -> ResponseReturnValue:
    """Give a place up."""
    who = _student(booking_id)
    gone = booking_writes.cancel_booking(
        context.database(), context.actor(), booking_id, version_sent(), context.now()
    )
    send_soon()
    notice = f"{context.settings().notice_hours} hours’ notice"
    said = f"late: with less than {notice}" if gone.late else "in good time"
    words = f"The booking of {who} is cancelled, {said}."
    return done(words, "diary.session", session_id=gone.session_id)


@bp.post("/bookings/<int:booking_id>/here")
def mark_here(booking_id: int) -> ResponseReturnValue:
    """Mark a student as here."""
    return _mark(booking_id, BookingState.ATTENDED, "here")


@bp.post("/bookings/<int:booking_id>/not-here")
def mark_not_here(booking_id: int) -> ResponseReturnValue:
    """Mark a student as not here."""
    return _mark(booking_id, BookingState.NO_SHOW, "not here")


def _mark(booking_id: int, state: BookingState, words: str) -> ResponseReturnValue:
    who = _student(booking_id)
    session_id = booking_writes.mark(
        context.database(), context.actor(), booking_id, version_sent(), state, context.now()
    )
    return done(f"{who} is marked as {words}.", "diary.session", session_id=session_id)


def _student(booking_id: int) -> str:
    return reads.booked_place(context.reading(), booking_id).student
