"""The owner's office: settings and the audit."""

from __future__ import annotations

from flask import Blueprint, request
from flask.typing import ResponseReturnValue

from app.store.school import reads, writes
from app.web import context
from app.web.pages import done, page, refused
from app.web.school.audit_words import detail_words, subject_words
from app.web.school.forms import SettingsForm

bp = Blueprint("school", __name__)


@bp.get("/office/settings")
def settings() -> ResponseReturnValue:
    """The school's own figures."""
    return page("school/settings.html", form=SettingsForm(data=_typed()))


@bp.post("/office/settings")
def change_settings() -> ResponseReturnValue:
    """Keep the school's own figures."""
    form = SettingsForm()
    if form.validate_on_submit():
        wanted = form.wanted(context.settings())
        changed = form.saved(
            lambda: writes.change_settings(
                context.database(), context.actor(), wanted, context.now()
            )
        )
        if changed is not None:
            said = "The settings are kept." if changed else "Nothing was changed."
            return done(said, "school.settings")
    return refused("school/settings.html", form=form)


def _typed() -> dict[str, object]:
    return SettingsForm.values_of(context.settings())


@bp.get("/office/audit")
def audit() -> ResponseReturnValue:
    """Who changed what, newest first."""
    before = request.args.get("before", type=int)
    return page(
        "school/audit.html",
        audit=reads.audit_page(context.reading(), before),
        detail_words=detail_words,
        subject_words=subject_words,
    )
