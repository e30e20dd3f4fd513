"""Papers at the desk."""

from __future__ import annotations

from flask import Blueprint, request
from flask.typing import ResponseReturnValue

from app.rules.papers.lives import NAMES
from app.store.papers import writes
from app.store.people import reads as people
from app.web import context
from app.web.pages import done, page, refused
from app.web.papers.forms import PaperForm

bp = Blueprint("papers", __name__)


@bp.route("/students/<int:student_id>/papers/new", methods=["GET", "POST"])
def record(student_id: int) -> ResponseReturnValue:
    """Write down a paper that the desk has seen."""
    student = people.student(context.reading(), student_id)
    form = PaperForm()
    if form.validate_on_submit():
        kept = form.saved(
            lambda: writes.record_paper(
                context.database(),
                context.actor(),
                student_id,
                form.paper(),
                form.key,
                context.today(),
                context.now(),
            )
        )
        if kept is not None:
            seen = f"The {NAMES[form.kind.data]} is written down."
            return done(seen, "diary.card", student_id=student_id)
    answer = refused if request.method == "POST" else page
    return answer("papers/record.html", form=form, student=student)
