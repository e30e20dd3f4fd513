"""What a student has to practise, and every ride that it rests on."""

from __future__ import annotations

from flask import Blueprint, request
from flask.typing import ResponseReturnValue

from app.rules.refusal import Missing
from app.store.progress import reads, ride_reads, session_reads
from app.store.progress.outlook import outlook
from app.store.riding.mock_reads import mock_tests_of
from app.web.context import actor, now, reading, settings
from app.web.pages import page
from app.web.progress.pictures import path

bp = Blueprint("progress", __name__)


@bp.get("/mine/rides/<int:variant_id>")
def my_rides(variant_id: int) -> ResponseReturnValue:
    """A student's own rides of one variant."""
    own = actor().student_id
    if own is None:
        raise Missing("this account has no student's record")
    return page("progress/my_rides.html", found=_rides(own, variant_id))


@bp.get("/students/<int:student_id>/progress")
def student(student_id: int) -> ResponseReturnValue:
    """An instructor's view of a student: every manoeuvre, and the history by session."""
    found = outlook(reading(), student_id, now(), moved=True)
    return page(
        "progress/student.html",
        outlook=found,
        path=path(found) if found else None,
        progress=reads.student_progress(reading(), student_id, now(), settings()),
        history=session_reads.history(reading(), student_id, settings(), _page()),
        mock_tests=mock_tests_of(reading(), student_id),
    )


@bp.get("/students/<int:student_id>/progress/<int:variant_id>")
def rides(student_id: int, variant_id: int) -> ResponseReturnValue:
    """A student's rides of one variant, for those who teach and book them."""
    return page("progress/rides.html", found=_rides(student_id, variant_id))


def _rides(student_id: int, variant_id: int) -> ride_reads.Rides:
    return ride_reads.rides_of(reading(), student_id, variant_id, now(), settings(), _page())


def _page() -> int:
    return request.args.get("page", default=1, type=int)
