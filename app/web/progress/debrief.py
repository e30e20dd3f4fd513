"""A mock test talked through afterwards: verdict, cones, faults, and what to practise first."""

from __future__ import annotations

from uuid import UUID

from flask.typing import ResponseReturnValue

from app.rules.refusal import Missing
from app.store.progress.debriefs import Debrief, load_debrief
from app.web.context import actor, now, reading, settings
from app.web.pages import page
from app.web.progress.routes import bp


@bp.get("/mock-tests/<uuid:mock_test_id>")
def debrief(mock_test_id: UUID) -> ResponseReturnValue:
    """A debrief as an instructor talks it through."""
    return page("progress/debrief.html", found=_found(mock_test_id, None))


@bp.get("/mine/mock-tests/<uuid:mock_test_id>")
def my_debrief(mock_test_id: UUID) -> ResponseReturnValue:
    """A student's own debrief."""
    own = actor().student_id
    if own is None:
        raise Missing("this account has no student's record")
    return page("progress/my_debrief.html", found=_found(mock_test_id, own))


def _found(mock_test_id: UUID, student_id: int | None) -> Debrief:
    return load_debrief(reading(), mock_test_id, now(), settings(), student_id)
