"""The waiting list at the desk."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.diary.clock import day_of
from app.store.diary import reads, waiting_reads, waiting_writes
from app.store.people import reads as people
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.life_forms import WaitForm
from app.web.ids import id_asked
from app.web.mail import send_soon
from app.web.pages import done, page, refused
from app.web.versions import version_sent


@bp.get("/waiting")
def waiting_list() -> ResponseReturnValue:
    """Who waits for a place, in the order in which they asked."""
    lines = waiting_reads.waiting_list(context.reading())
    return page("diary/waiting.html", lines=lines, hold_minutes=context.settings().hold_minutes)


@bp.route("/students/<int:student_id>/wait", methods=["GET", "POST"])
def wait(student_id: int) -> ResponseReturnValue:
    """Put a student on the waiting list, for one session or for any that fits."""
    student = people.student(context.reading(), student_id)
    shown = _session_asked()
    form = WaitForm(data=_usual(shown))
    if form.validate_on_submit():
        only = shown.line.id if shown else None
        made = form.saved(
            lambda: waiting_writes.wait(
                context.database(),
                context.actor(),
                form.wish(student_id, only),
                form.key,
                context.now(),
            )
        )
        if made is not None:
            send_soon()
            return done(f"{student.facts.name} is on the waiting list.", "diary.waiting_list")
    answer = refused if request.method == "POST" else page
    return answer("diary/wait.html", form=form, student=student, shown=shown)


def _session_asked() -> reads.SessionPage | None:
    asked = id_asked("session")
    return reads.session_page(context.reading(), asked, context.now()) if asked else None


def _usual(shown: reads.SessionPage | None) -> dict[str, object]:
    usual = WaitForm.usual(context.today())
    if shown is None:
        return usual
    day = day_of(shown.line.starts_at, context.zone())
    return usual | {"kind": shown.line.kind, "last_day": day}


@bp.post("/waiting/<int:waiting_id>/withdraw")
def withdraw(waiting_id: int) -> ResponseReturnValue:
    """Take somebody off the waiting list."""
    student_id = waiting_writes.withdraw(
        context.database(), context.actor(), waiting_id, version_sent(), context.now()
    )
    send_soon()
    name = people.student(context.reading(), student_id).facts.name
    return done(f"{name} is off the waiting list.", "diary.waiting_list")
