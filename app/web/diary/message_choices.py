"""Which email a student gets: their own choice, and the desk's on request; and what was sent."""

from __future__ import annotations

from typing import Any

from flask import request
from flask.typing import ResponseReturnValue
from wtforms import BooleanField

from app.rules.people.messages import MESSAGE_WORDS, MessageKind
from app.store.diary import letter_preview, outbox_reads
from app.store.people import choices
from app.store.people import reads as people
from app.web import context
from app.web.diary.blueprint import bp
from app.web.forms import SchoolForm
from app.web.ids import id_asked
from app.web.pages import done, page, refused

SHOWN = 40
"""How many of a student's messages their page at the desk shows."""


class ChoicesForm(SchoolForm):
    """A box for each kind of email."""

    confirmation = BooleanField(MESSAGE_WORDS[MessageKind.CONFIRMATION])
    change = BooleanField(MESSAGE_WORDS[MessageKind.CHANGE])
    cancellation = BooleanField(MESSAGE_WORDS[MessageKind.CANCELLATION])
    reminder = BooleanField(MESSAGE_WORDS[MessageKind.REMINDER])
    offer = BooleanField(MESSAGE_WORDS[MessageKind.OFFER])

    def wanted(self) -> list[MessageKind]:
        """The kinds whose box is ticked."""
        return [kind for kind in MessageKind if self[kind.value].data]


@bp.route("/mine/messages", methods=["GET", "POST"])
def my_messages() -> ResponseReturnValue:
    """Which email I get."""
    own = context.actor().student_id
    if own is None:
        return page("progress/no_record.html")
    form = _form(own)
    if form.validate_on_submit():
        _choose(own, form)
        return done("Your choice is kept.", "diary.my_messages")
    student = people.student(context.reading(), own)
    return _answer("diary/my_messages.html", form=form, student=student)


@bp.route("/students/<int:student_id>/messages", methods=["GET", "POST"])
def student_messages(student_id: int) -> ResponseReturnValue:
    """A student's email: what was sent to them, and which kinds they want."""
    student = people.student(context.reading(), student_id)
    form = _form(student_id)
    if form.validate_on_submit():
        _choose(student_id, form)
        return done("The choice is kept.", "diary.student_messages", student_id=student_id)
    now, reading = context.now(), context.reading()
    return _answer(
        "diary/student_messages.html",
        form=form,
        student=student,
        messages=outbox_reads.messages_of(reading, student_id, now, SHOWN),
        bounced=outbox_reads.bounced(reading, student_id),
    )


@bp.get("/sessions/<int:session_id>/book/<int:student_id>/message")
def booking_message(session_id: int, student_id: int) -> ResponseReturnValue:
    """What a student will be sent, before they are booked."""
    preview = letter_preview.confirmation_preview(
        context.reading(),
        session_id,
        student_id,
        id_asked("bike"),
        context.own_address(),
        context.now(),
    )
    return page("diary/booking_message.html", preview=preview, session_id=session_id)


def _form(student_id: int) -> ChoicesForm:
    wanted = choices.wanted_kinds(context.reading(), student_id)
    return ChoicesForm(data={kind.value: kind in wanted for kind in MessageKind})


def _choose(student_id: int, form: ChoicesForm) -> None:
    choices.choose(context.database(), context.actor(), student_id, form.wanted(), context.now())


def _answer(template: str, **values: Any) -> ResponseReturnValue:
    return (refused if request.method == "POST" else page)(template, **values)
