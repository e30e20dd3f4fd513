"""Bookings at the desk: making and cancelling them, and who came."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.diary.clock import day_of
from app.rules.diary.values import TO_COME_STATES, BookingState, GivenUpFor
from app.store.diary import booking_writes, card_reads, reads
from app.store.diary.booking_writes import GivenUp, WantedPlace
from app.store.people import reads as people
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.forms import BikeForm, BookForm
from app.web.diary.life_forms import CancelForm
from app.web.mail import send_soon
from app.web.pages import done, page, refused
from app.web.versions import version_sent


@bp.route("/sessions/<int:session_id>/book/<int:student_id>", methods=["GET", "POST"])
def book(session_id: int, student_id: int) -> ResponseReturnValue:
    """Book a student into a session, with a bike proposed."""
    shown = reads.session_page(context.reading(), session_id, context.now())
    student = people.student(context.reading(), student_id)
    form = BookForm()
    form.offer(bikes_for(shown, student), proposed=request.args.get("bike", type=int))
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
    return book_again(form, shown, student)


def bikes_for(
    shown: reads.SessionPage, student: people.StudentRecord
) -> tuple[card_reads.BikeChoice, ...]:
    """The bikes that are free for a student in a session, the best first."""
    category = student.facts.category
    return card_reads.free_bikes(context.reading(), shown.line, category, context.now())


def book_again(
    form: BookForm, shown: reads.SessionPage, student: people.StudentRecord
) -> ResponseReturnValue:
    """The page that books a place, at first or with what stands against it."""
    on = day_of(shown.line.starts_at, context.zone())
    return (refused if request.method == "POST" else page)(
        "diary/book.html",
        form=form,
        shown=shown,
        student=student,
        warnings=card_reads.warned_on(
            context.reading(), student, shown.line.instructor_id, form.bike_category(), on
        ),
        can_hold=shown.line.starts_at > context.now(),
        hold_minutes=context.settings().hold_minutes,
    )


@bp.route("/bookings/<int:booking_id>/bike", methods=["GET", "POST"])
def change_bike(booking_id: int) -> ResponseReturnValue:
    """Give a student who is booked another bike."""
    place = reads.booked_place(context.reading(), booking_id)
    shown = reads.session_page(context.reading(), place.session_id)
    student = people.student(context.reading(), place.student_id)
    form = BikeForm(data={"version": place.version})
    form.offer(bikes_for(shown, student))
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
    cancellable = place.state in TO_COME_STATES
    return page(
        "diary/cancel_booking.html",
        form=CancelForm(data={"version": place.version, "reason": GivenUpFor.STUDENT}),
        place=place,
        shown=shown,
        open_still=cancellable and shown.line.ends_at > context.now(),
        notice_hours=context.settings().notice_hours,
    )


@bp.post("/bookings/<int:booking_id>/cancel")
def cancel_booking(booking_id: int) -> ResponseReturnValue:
    """Give a place up."""
    who = _student(booking_id)
    reason = CancelForm().why()
    gone = booking_writes.cancel_booking(
        context.database(), context.actor(), booking_id, version_sent(), context.now(), reason
    )
    send_soon()
    words = f"The booking of {who} is cancelled{_how_late(gone, reason)}."
    return done(words, "diary.session", session_id=gone.session_id)


def _how_late(gone: GivenUp, reason: GivenUpFor) -> str:
    if reason is not GivenUpFor.STUDENT:
        return ""
    notice = f"{context.settings().notice_hours} hours’ notice"
    return f", late: with less than {notice}" if gone.late else ", in good time"


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
