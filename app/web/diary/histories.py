"""Who did what and when, at the desk."""

from __future__ import annotations

from flask.typing import ResponseReturnValue

from app.store.diary import history_reads, reads
from app.store.people import reads as people
from app.web import context
from app.web.diary.blueprint import bp
from app.web.ids import id_asked
from app.web.pages import page


@bp.get("/bookings/<int:booking_id>/history")
def booking_history(booking_id: int) -> ResponseReturnValue:
    """All that was done with one booking."""
    place = reads.booked_place(context.reading(), booking_id)
    shown = reads.session_page(context.reading(), place.session_id)
    history = history_reads.of_booking(
        context.reading(), booking_id, id_asked("before"), context.zone()
    )
    return page("diary/booking_history.html", place=place, shown=shown, history=history)


@bp.get("/sessions/<int:session_id>/history")
def session_history(session_id: int) -> ResponseReturnValue:
    """All that was done with one session and its bookings."""
    shown = reads.session_page(context.reading(), session_id)
    history = history_reads.of_session(
        context.reading(), session_id, id_asked("before"), context.zone()
    )
    return page("diary/session_history.html", shown=shown, history=history)


@bp.get("/students/<int:student_id>/history")
def student_history(student_id: int) -> ResponseReturnValue:
    """All that was done with one student's record and bookings."""
    student = people.student(context.reading(), student_id)
    history = history_reads.of_student(
        context.reading(), student_id, id_asked("before"), context.zone()
    )
    return page("diary/student_history.html", student=student, history=history)
