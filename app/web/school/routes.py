"""The owner's office: settings and the audit."""

from __future__ import annotations

from flask import Blueprint
from flask.typing import ResponseReturnValue

from app.rules.progress.words import STANDING_WORDS
from app.rules.settings import SchoolSettings
from app.store.progress.flag_counts import flag_counts
from app.store.school import reads, writes
from app.web import context
from app.web.ids import id_asked
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
    """Keep the school's own figures; those of a steady manoeuvre once their effect was seen."""
    form = SettingsForm()
    if form.validate_on_submit():
        wanted = form.saved(lambda: writes.as_kept(form.wanted(context.settings())))
        if wanted is not None:
            return _kept(wanted) if _effect_seen(form) else _preview(form, wanted)
    return refused("school/settings.html", form=form)


def _kept(wanted: SchoolSettings) -> ResponseReturnValue:
    changed = writes.change_settings(context.database(), context.actor(), wanted, context.now())
    said = "The settings are kept." if changed else "Nothing was changed."
    return done(said, "school.settings")


def _effect_seen(form: SettingsForm) -> bool:
    """Whether flags neither come nor go, or the owner has seen how many do."""
    return form.four() in (form.seen.data, SettingsForm.four_of(context.settings()))


def _preview(form: SettingsForm, wanted: SchoolSettings) -> ResponseReturnValue:
    """What the four numbers would do today; nothing is kept yet."""
    now = context.settings()
    before, after = flag_counts(context.reading(), (now, wanted), context.now())
    return page(
        "school/preview.html",
        form=form,
        before=before,
        after=after,
        standings=STANDING_WORDS,
    )


def _typed() -> dict[str, object]:
    return SettingsForm.values_of(context.settings())


@bp.get("/office/audit")
def audit() -> ResponseReturnValue:
    """Who changed what, newest first."""
    before = id_asked("before")
    return page(
        "school/audit.html",
        audit=reads.audit_page(context.reading(), before),
        detail_words=detail_words,
        subject_words=subject_words,
    )
