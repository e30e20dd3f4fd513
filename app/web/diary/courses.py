"""Several sessions for one student in one go."""

from __future__ import annotations

from typing import Any

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.diary.coursing import why_not_course
from app.rules.diary.finding_facts import Wish
from app.rules.diary.finding_places import Place
from app.store.diary import courses, loading, move_reads
from app.store.diary.courses import WantedCourse
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.life_forms import CourseAskForm, CourseForm
from app.web.mail import send_soon
from app.web.pages import done, page, refused


@bp.get("/students/<int:student_id>/course")
def course(student_id: int) -> ResponseReturnValue:
    """Propose the sessions of a course: the soonest that fit, with days in between."""
    ask, form = _asked(), CourseForm()
    places = _proposed(student_id, ask)
    form.offer(places)
    status = page if not ask.errors else refused
    return status("diary/course.html", **_shown(student_id, ask, form, len(places)))


@bp.post("/students/<int:student_id>/course")
def book_course(student_id: int) -> ResponseReturnValue:
    """Book all the sessions that were chosen, or none."""
    ask, form = _asked(), CourseForm()
    form.offer(_proposed(student_id, ask))
    if form.validate_on_submit():
        wanted = WantedCourse(student_id, form.name.data, form.wanted())
        made = form.saved(
            lambda: courses.book_course(
                context.database(), context.actor(), wanted, form.key, context.now()
            )
        )
        if made is not None:
            send_soon()
            return done("All of it is booked.", "diary.card", student_id=student_id)
    return refused("diary/course.html", **_shown(student_id, ask, form, len(form.places.choices)))


def _asked() -> CourseAskForm:
    """What the address asks for, judged; the usual when it asks for nothing."""
    typed = request.args if "number" in request.args else None
    ask = CourseAskForm(typed, data=CourseAskForm.usual(context.today()), meta={"csrf": False})
    if typed is not None and ask.validate():
        days = (ask.first_day.data, ask.last_day.data)
        number, between = ask.number.data, ask.days_between.data
        for reason in why_not_course(number, between, days, context.today()):
            ask.refuse(reason.field, reason.sentence)
    return ask


def _proposed(student_id: int, ask: CourseAskForm) -> tuple[Place, ...]:
    who = loading.rider(context.reading(), student_id)
    if ask.errors:
        return ()
    wish = Wish(
        student_id=student_id,
        rider=who,
        kind=ask.kind.data,
        first_day=max(ask.first_day.data, context.today()),
        last_day=ask.last_day.data,
        own_bike=ask.own_bike.data,
    )
    number, between = ask.number.data, ask.days_between.data
    return move_reads.course(
        context.reading(), wish, number, between, context.now(), context.zone()
    )


def _shown(student_id: int, ask: CourseAskForm, form: CourseForm, found: int) -> dict[str, Any]:
    who = loading.rider(context.reading(), student_id)
    return {"student_id": student_id, "who": who, "ask": ask, "form": form, "found": found}
