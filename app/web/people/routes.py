"""Students and instructors at the desk."""

from __future__ import annotations

from dataclasses import asdict

from flask import Blueprint, redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.rules.people.alike import Pair
from app.store.people import reads, writes
from app.store.people.duplicates import MOST_ALIKE, like
from app.web import context
from app.web.pages import done, page, refused
from app.web.people.forms import InstructorForm, NewStudentForm, StudentForm
from app.web.versions import version_sent

bp = Blueprint("people", __name__)

MOST_TYPED = 100


@bp.get("/students")
def students() -> ResponseReturnValue:
    """Students by name, or those who have what was typed; straight to the card of the only one."""
    typed = request.args.get("q", "").strip()[:MOST_TYPED]
    at = request.args.get("page", default=1, type=int)
    found = reads.students(context.reading(), typed, at)
    if typed and found.total == 1 and "open" in request.args:
        return redirect(url_for("diary.card", student_id=found.students[0].id))
    return page("people/students.html", found=found, typed=typed)


@bp.route("/students/new", methods=["GET", "POST"])
def new_student() -> ResponseReturnValue:
    """Add a student with only what is needed first."""
    form = NewStudentForm()
    if form.validate_on_submit():
        made = form.saved(
            lambda: writes.add_student(
                context.database(),
                context.actor(),
                form.facts(),
                form.key,
                context.today(),
                context.now(),
                as_new=form.as_new.data,
            )
        )
        if made is not None:
            return done(f"{form.name.data} is on file.", "diary.card", student_id=made)
    answer = refused if request.method == "POST" else page
    return answer("people/new_student.html", form=form, alike=_alike(form))


def _alike(form: NewStudentForm) -> tuple[Pair, ...]:
    """Those on file who may be the person in a form that was refused for that."""
    if not form.as_new.errors and not form.as_new.data:
        return ()
    region = context.settings().phone_region
    return like(context.reading(), form.facts(), region)[:MOST_ALIKE]


@bp.route("/students/<int:student_id>/edit", methods=["GET", "POST"])
def edit_student(student_id: int) -> ResponseReturnValue:
    """Change what is written down about a student."""
    record = reads.student(context.reading(), student_id)
    form = StudentForm(data=asdict(record.facts) | {"version": record.version})
    if form.validate_on_submit():
        kept = form.saved(
            lambda: writes.edit_student(
                context.database(),
                context.actor(),
                student_id,
                version_sent(),
                form.facts(),
                context.today(),
                context.now(),
            )
        )
        if kept is not None:
            return done("The record is kept.", "diary.card", student_id=student_id)
    answer = refused if request.method == "POST" else page
    return answer("people/edit_student.html", form=form, student=record)


@bp.get("/instructors")
def instructors() -> ResponseReturnValue:
    """Everyone who teaches or taught here."""
    return page("people/instructors.html", instructors=reads.instructors(context.reading()))


@bp.route("/instructors/new", methods=["GET", "POST"])
def new_instructor() -> ResponseReturnValue:
    """Add an instructor."""
    form = InstructorForm()
    if form.validate_on_submit():
        made = form.saved(
            lambda: writes.add_instructor(
                context.database(), context.actor(), form.name.data, form.key, context.now()
            )
        )
        if made is not None:
            return done(f"{form.name.data} is on file.", "people.instructors")
    answer = refused if request.method == "POST" else page
    return answer("people/new_instructor.html", form=form)


@bp.post("/instructors/<int:instructor_id>/teaching")
def set_teaching(instructor_id: int) -> ResponseReturnValue:
    """Say whether an instructor teaches here now."""
    active = request.form.get("active") == "yes"
    writes.set_teaching(
        context.database(), context.actor(), instructor_id, context.now(), active=active
    )
    said = "They can be given sessions again." if active else "They get no new sessions now."
    return done(said, "people.instructors")
