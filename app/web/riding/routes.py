"""The yard: the session board, recording a ride, taking it back and striking it out."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.rules.accounts.access import Scope
from app.rules.refusal import Reason, Refused
from app.rules.riding.recording import NewRide, Word
from app.rules.riding.values import Outcome
from app.store.progress import writes
from app.store.riding import board as boards
from app.web import context
from app.web.pages import done, page, refused
from app.web.riding import views
from app.web.riding.forms import NOT_MEASURED, SOURCES, RideForm, StrikeForm, ticked

bp = Blueprint("riding", __name__)

_SAID = {
    Outcome.CLEAN: "Clean.",
    Outcome.RIDING: "Riding fault.",
    Outcome.SERIOUS: "Serious fault.",
    Outcome.DANGEROUS: "Dangerous fault.",
    Outcome.RIDE_AGAIN: "Too slow: ride it again.",
    Outcome.UNMEASURED: "Kept, speed not measured.",
}


def _own() -> int | None:
    """Whose sessions this person finds: their own, or everyone's (None)."""
    return None if context.scope() is Scope.ALL else (context.actor().instructor_id or 0)


def _load(session_id: int) -> boards.Board:
    return boards.load_board(context.reading(), session_id, _own(), context.zone())


def _view(
    board: boards.Board, rider: boards.BoardRider, variant_id: int, ticks: list[str]
) -> views.BoardView:
    variant = board.course.variant(variant_id)
    reading = context.reading()
    offers = boards.offers_by_use(reading, board.course, variant.manoeuvre.code)
    in_sight, more, remarks = views.split(views.fault_keys(offers, ticks))
    return views.BoardView(
        board=board,
        rider=rider,
        variant=variant,
        minimum_kmh=variant.minimum_for(rider.category),
        tabs=views.tabs(board, rider),
        keys=views.keys(board, rider, variant_id),
        faults=in_sight,
        more=more,
        remarks=remarks,
        strip=boards.strip_of(reading, rider.student_id, variant_id, board.course, context.zone()),
    )


@bp.get("/yard/sessions/<int:session_id>")
def board(session_id: int) -> ResponseReturnValue:
    """The board of a session: pick a rider and a manoeuvre, record a ride."""
    found = _load(session_id)
    rider = found.rider(request.args.get("rider", type=int))
    if rider is None or not found.rideable:
        return page("riding/nobody.html", board=found)
    variant = request.args.get("variant", type=int) or found.variant_of(rider)
    view = _view(found, rider, variant, [])
    source = request.args.get("source", NOT_MEASURED)
    form = RideForm.for_next(view, source)
    return page("riding/board.html", view=view, form=form, sources=SOURCES)


@bp.post("/yard/sessions/<int:session_id>/rides")
def record(session_id: int) -> ResponseReturnValue:
    """Keep one ride."""
    found = _load(session_id)
    rider = found.rider(request.form.get("rider", type=int))
    if rider is None:
        return page("riding/nobody.html", board=found)
    variant = request.form.get("variant", default=0, type=int)
    ticks = request.form.getlist("fault")
    view = _view(found, rider, variant, ticks)
    form = RideForm()
    if form.validate_on_submit() and form.saved(lambda: _keep(_ride(form, view, ticks))):
        return redirect(_back(session_id, form), code=303)
    return refused("riding/board.html", view=view, form=form, sources=SOURCES)


def _ride(form: RideForm, view: views.BoardView, ticks: list[str]) -> NewRide:
    offers = view.board.course.offers(view.variant.manoeuvre.code).values()
    faults = ticked(ticks, request.form, offers)
    timed = view.minimum_kmh is not None
    press = request.form.get("press", "")
    return form.ride(view.board.session.id, press, faults, timed, context.now())


def _keep(ride: NewRide) -> bool:
    (answer,) = writes.record_rides(context.database(), context.actor(), [ride], context.now())
    if answer.word is Word.REFUSED:
        raise Refused(Reason(answer.reason))
    return True


def _back(session_id: int, form: RideForm) -> str:
    return url_for(
        "riding.board",
        session_id=session_id,
        rider=form.rider.data,
        variant=form.variant.data,
        source=form.source.data,
    )


@bp.post("/yard/rides/<uuid:attempt_id>/undo")
def undo(attempt_id: UUID) -> ResponseReturnValue:
    """Take back a ride that was recorded a moment ago."""
    ride, _rider = boards.load_ride(context.reading(), attempt_id, _own(), context.zone())
    reason = writes.TAKEN_BACK
    writes.strike_out(context.database(), context.actor(), attempt_id, reason, context.now())
    flash("Taken back.")
    onward = url_for(
        "riding.board",
        session_id=ride.session_id,
        rider=ride.student_id,
        variant=ride.variant_id,
    )
    return redirect(onward, code=303)


@bp.get("/yard/rides/<uuid:attempt_id>")
def ride(attempt_id: UUID) -> ResponseReturnValue:
    """One ride, with what was seen, and the way to strike it out."""
    found, rider = boards.load_ride(context.reading(), attempt_id, _own(), context.zone())
    return page("riding/ride.html", ride=found, rider=rider, said=_SAID, form=StrikeForm())


@bp.post("/yard/rides/<uuid:attempt_id>/strike-out")
def strike_out(attempt_id: UUID) -> ResponseReturnValue:
    """Strike a ride out with a reason; it stays in sight and stops counting."""
    found, rider = boards.load_ride(context.reading(), attempt_id, _own(), context.zone())
    form = StrikeForm()
    if form.validate_on_submit() and form.saved(lambda: _strike(attempt_id, form.words())):
        return done("Struck out. The ride stays in sight and no longer counts.", "riding.ride",
                    attempt_id=attempt_id)  # fmt: skip
    return refused("riding/ride.html", ride=found, rider=rider, said=_SAID, form=form)


def _strike(attempt_id: UUID, reason: str) -> UUID:
    return writes.strike_out(context.database(), context.actor(), attempt_id, reason, context.now())
