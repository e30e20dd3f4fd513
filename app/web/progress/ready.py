"""Who is ready for a test, and how the whole of it works."""

from __future__ import annotations

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.accounts.access import scope_for
from app.rules.progress.figure_words import LATER_RIDES
from app.store.progress.ready import ready_page
from app.store.progress.school_figures import shown_figures
from app.web.context import actor, now, reading, settings, zone
from app.web.pages import page
from app.web.progress.routes import bp
from app.web.progress.tabs import tabs


@bp.get("/progress/ready")
def ready() -> ResponseReturnValue:
    """Those learning now, the likeliest to pass first, and the next free places."""
    number = request.args.get("page", default=1, type=int)
    return page(
        "progress/ready.html",
        found=ready_page(reading(), now(), zone(), number),
        books=scope_for(actor(), "diary.session") is not None,
        tabs=tabs(),
    )


@bp.get("/progress/how")
def how() -> ResponseReturnValue:
    """How flags, chances and readiness come about, with the cautions."""
    return page(
        "progress/how.html",
        rule=settings(),
        hard=shown_figures(reading()),
        later=LATER_RIDES,
        tabs=tabs(),
    )
