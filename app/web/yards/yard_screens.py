"""Yards at the desk. The screens of the bikes stand beside."""

from __future__ import annotations

from dataclasses import asdict

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.yards.keeping import YardPlan
from app.store.yards import reads, writes
from app.web import context
from app.web.pages import done, page, refused
from app.web.versions import version_sent
from app.web.yards.blueprint import bp
from app.web.yards.forms import NewYardForm, YardForm

_USUAL = YardPlan(name="", length_m=0, width_m=0, places=4)


@bp.get("/yards")
def yards() -> ResponseReturnValue:
    """All yards."""
    return page("yards/yards.html", yards=reads.yards(context.reading()))


@bp.route("/yards/new", methods=["GET", "POST"])
def new_yard() -> ResponseReturnValue:
    """Add a yard."""
    usual = {name: value for name, value in asdict(_USUAL).items() if value}
    form = NewYardForm(data=usual)
    if form.validate_on_submit():
        made = form.saved(
            lambda: writes.add_yard(
                context.database(), context.actor(), form.plan(), form.key, context.now()
            )
        )
        if made is not None:
            return done(f"{form.name.data} is on file.", "yards.yards")
    answer = refused if request.method == "POST" else page
    return answer("yards/new_yard.html", form=form)


@bp.route("/yards/<int:yard_id>/edit", methods=["GET", "POST"])
def edit_yard(yard_id: int) -> ResponseReturnValue:
    """Change a yard."""
    yard = reads.yard(context.reading(), yard_id)
    form = YardForm(data=asdict(yard.plan) | {"version": yard.version})
    if form.validate_on_submit():
        kept = form.saved(
            lambda: writes.edit_yard(
                context.database(),
                context.actor(),
                yard_id,
                version_sent(),
                form.plan(),
                context.now(),
            )
        )
        if kept is not None:
            return done(f"{form.name.data} is kept.", "yards.yards")
    answer = refused if request.method == "POST" else page
    return answer("yards/edit_yard.html", form=form, yard=yard)
