"""Bikes at the desk."""

from __future__ import annotations

from dataclasses import asdict

from flask import request
from flask.typing import ResponseReturnValue

from app.store.yards import reads, writes
from app.web import context
from app.web.pages import done, page, refused
from app.web.versions import version_sent
from app.web.yards.blueprint import bp
from app.web.yards.forms import BikeForm, NewBikeForm, OffRoadForm


@bp.get("/bikes")
def bikes() -> ResponseReturnValue:
    """All bikes."""
    return page("yards/bikes.html", bikes=reads.bikes(context.reading()))


@bp.route("/bikes/new", methods=["GET", "POST"])
def new_bike() -> ResponseReturnValue:
    """Add a bike."""
    form = NewBikeForm()
    if form.validate_on_submit():
        made = form.saved(
            lambda: writes.add_bike(
                context.database(), context.actor(), form.plan(), form.key, context.now()
            )
        )
        if made is not None:
            return done(f"{form.label.data} is on file.", "yards.bikes")
    answer = refused if request.method == "POST" else page
    return answer("yards/new_bike.html", form=form)


@bp.route("/bikes/<int:bike_id>/edit", methods=["GET", "POST"])
def edit_bike(bike_id: int) -> ResponseReturnValue:
    """Change what is written down about a bike."""
    bike = reads.bike(context.reading(), bike_id)
    form = BikeForm(data=asdict(bike.plan) | {"version": bike.version})
    if form.validate_on_submit():
        kept = form.saved(
            lambda: writes.edit_bike(
                context.database(),
                context.actor(),
                bike_id,
                version_sent(),
                form.plan(),
                context.now(),
            )
        )
        if kept is not None:
            return done(f"{form.label.data} is kept.", "yards.bikes")
    answer = refused if request.method == "POST" else page
    return answer("yards/edit_bike.html", form=form, bike=bike)


@bp.route("/bikes/<int:bike_id>/off-road", methods=["GET", "POST"])
def take_off_road(bike_id: int) -> ResponseReturnValue:
    """Take a bike off the road, with the reason."""
    bike = reads.bike(context.reading(), bike_id)
    form = OffRoadForm(data={"version": bike.version})
    if form.validate_on_submit():
        kept = form.saved(
            lambda: writes.take_off_road(
                context.database(),
                context.actor(),
                bike_id,
                version_sent(),
                form.reason.data,
                context.now(),
            )
        )
        if kept is not None:
            return done(f"{bike.plan.label} is off the road.", "yards.bikes")
    answer = refused if request.method == "POST" else page
    return answer("yards/off_road.html", form=form, bike=bike)


@bp.post("/bikes/<int:bike_id>/on-road")
def put_back_on_road(bike_id: int) -> ResponseReturnValue:
    """Put a bike back on the road."""
    writes.put_back_on_road(
        context.database(), context.actor(), bike_id, version_sent(), context.now()
    )
    return done("The bike is back on the road.", "yards.bikes")
