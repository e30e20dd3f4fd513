"""Students who may be here twice, and making two records one."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.people.alike import Pair
from app.store.people import reads as people
from app.store.people.duplicates import suggestions, twins_of
from app.store.school.merging import merge as make_one
from app.store.school.twins import Comparison, comparison
from app.web import context
from app.web.pages import done, page, refused
from app.web.school.merge_form import MergeForm
from app.web.school.routes import bp

MOST_TYPED = 100


@bp.get("/students/duplicates")
def duplicates() -> ResponseReturnValue:
    """Pairs of records that may be one person, with the reason."""
    return page("school/duplicates.html", found=suggestions(context.reading()))


@bp.get("/students/<int:student_id>/twice")
def find_twin(student_id: int) -> ResponseReturnValue:
    """Find the other record of a student: the likely ones first, or by a few letters."""
    student = people.student(context.reading(), student_id)
    typed = request.args.get("q", "").strip()[:MOST_TYPED]
    found = people.students(context.reading(), typed) if typed else None
    likely: tuple[Pair, ...] = twins_of(context.reading(), student_id)
    return page("school/find_twin.html", student=student, typed=typed, found=found, likely=likely)


@bp.get("/students/<int:student_id>/merge/<int:other_id>")
def compare(student_id: int, other_id: int) -> ResponseReturnValue:
    """Two records side by side, and what would stay of each."""
    both = _both(student_id, other_id)
    return page("school/merge.html", both=both, form=MergeForm.of(both))


@bp.post("/students/<int:student_id>/merge/<int:other_id>")
def merge(student_id: int, other_id: int) -> ResponseReturnValue:
    """Make two records one."""
    if people.kept_instead(context.reading(), other_id) == student_id:
        return _made_one(student_id)
    both = _both(student_id, other_id)
    form = MergeForm.of(both)
    if form.validate_on_submit():
        wanted = form.wanted(both)
        kept = form.saved(
            lambda: make_one(
                context.database(), context.actor(), wanted, context.today(), context.now()
            )
        )
        if kept is not None:
            return _made_one(kept)
    return refused("school/merge.html", both=both, form=form)


def _made_one(kept_id: int) -> ResponseReturnValue:
    return done("The two records are one now.", "diary.card", student_id=kept_id)


def _both(student_id: int, other_id: int) -> Comparison:
    return comparison(context.reading(), student_id, other_id, context.zone())
