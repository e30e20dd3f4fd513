"""The yard: the session board, recording a ride, taking it back and striking it out."""

from __future__ import annotations

from uuid import UUID

from flask import Blueprint, redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.rules.accounts.access import Scope
from app.rules.diary.clock import day_of
from app.rules.refusal import Missing, Reason, Refused
from app.rules.riding import safety
from app.rules.riding.recording import NewRide, Word
from app.rules.riding.values import SpeedSource
from app.store.progress import writes
from app.store.progress.board_standings import flagged_on_board
from app.store.riding import board as boards
from app.store.riding.around import load_around
from app.store.riding.mock_reads import running_tests
from app.store.riding.one_ride import load_ride
from app.store.riding.safety import is_checked
from app.web import context
from app.web.pages import done, page, refused
from app.web.riding import views
from app.web.riding.forms import NOT_MEASURED, SOURCES, RideForm, StrikeForm, ticked
from app.web.riding.live import board_data

bp = Blueprint("riding", __name__)


def _own() -> int | None:
    """Whose sessions this person finds: their own, or everyone's (None)."""
    return None if context.scope() is Scope.ALL else (context.actor().instructor_id or 0)


def _load(session_id: int) -> boards.Board:
    return boards.load_board(context.reading(), session_id, _own(), context.zone())


def _view(on: views.OnBoard, ticks: list[str]) -> views.BoardView:
    board, rider, variant, reading = on.board, on.rider, on.variant, context.reading()
    standings = flagged_on_board(
        reading,
        [each.student_id for each in board.riders],
        [each.id for each in board.rideable],
        context.now(),
        context.settings(),
    )
    offers = boards.offers_by_use(reading, board.course, variant.manoeuvre.code)
    in_sight, more, remarks = views.split(views.fault_keys(offers, ticks))
    return views.BoardView(
        board=board,
        rider=rider,
        variant=variant,
        minimum_kmh=on.minimum_kmh,
        tabs=views.tabs(board, rider, standings),
        keys=views.keys(board, rider, variant.id, standings),
        standings=standings,
        faults=in_sight,
        more=more,
        remarks=remarks,
        strip=boards.strip_of(reading, rider.student_id, variant.id, board.course, context.zone()),
        running=running_tests(reading, [board.session.id]),
        around=load_around(reading, board.session.id, None),
        is_today=day_of(board.session.starts_at, context.zone()) == context.today(),
    )


@bp.get("/yard/sessions/<int:session_id>")
def board(session_id: int) -> ResponseReturnValue:
    """The board of a session: pick a rider and a manoeuvre, record a ride."""
    found = _load(session_id)
    rider = found.rider(request.args.get("rider", type=int))
    if rider is None or not found.rideable:
        return page("riding/nobody.html", board=found)
    variant = request.args.get("variant", type=int) or found.variant_of(rider)
    view = _view(views.on_board(found, rider, variant), [])
    return _page(view, RideForm.for_next(view), request.args.get("source"))


def _page(view: views.BoardView, form: RideForm, usual: str | None) -> ResponseReturnValue:
    """The board; ``usual`` is where the last speed came from, which the next will too."""
    answer = refused if form.errors else page
    usual = usual if usual in set(SpeedSource) else SpeedSource.GATE
    live = None if form.errors else board_data(view)
    return answer(
        "riding/board.html", view=view, form=form, sources=SOURCES, usual=usual, live=live
    )


@bp.post("/yard/sessions/<int:session_id>/rides")
def record(session_id: int) -> ResponseReturnValue:
    """Keep one ride."""
    found = _load(session_id)
    ticks = request.form.getlist("fault")
    try:
        on = views.on_board(found, _sent_rider(found), _sent("variant"))
    except Missing:
        return _not_on_the_board(found)
    form = RideForm()
    if form.validate_on_submit() and form.saved(lambda: _keep(_ride(form, on, ticks))):
        return redirect(_back(on, form.source.data), code=303)
    form.renumber()
    return _page(_view(on, ticks), form, form.source.data)


def _sent(name: str) -> int:
    """An id in the form; one that no record has when there is none to be read."""
    return request.form.get(name, default=0, type=int)


def _sent_rider(board: boards.Board) -> boards.BoardRider:
    rider = board.rider(_sent("rider"))
    if rider is None:
        raise Missing("a board without riders")
    return rider


def _not_on_the_board(board: boards.Board) -> ResponseReturnValue:
    """Whoever or whatever was sent is not on the board (any more): show it as it is now."""
    rider = board.rider(None)
    if rider is None or not board.rideable:
        return refused("riding/nobody.html", board=board)
    view = _view(views.on_board(board, rider, board.variant_of(rider)), [])
    form = RideForm.for_next(view)
    form.refuse("", "That rider or manoeuvre is not on this board now. Nothing was recorded.")
    return _page(view, form, None)


def _ride(form: RideForm, on: views.OnBoard, ticks: list[str]) -> NewRide:
    # Asked here and not where rides are kept: one that a tablet sends later must never be lost.
    if not is_checked(context.reading(), on.board.session.id):
        raise Refused(Reason(safety.FIRST))
    offers = on.board.course.offers(on.variant.manoeuvre.code).values()
    faults = ticked(ticks, request.form, offers)
    return form.ride(on, request.form.get("press", ""), faults, context.now())


def _keep(ride: NewRide) -> bool:
    (answer,) = writes.record_rides(context.database(), context.actor(), [ride], context.now())
    if answer.word is Word.REFUSED:
        raise Refused(Reason(answer.reason))
    return True


def _back(on: views.OnBoard, source: str | None) -> str:
    return url_for(
        "riding.board",
        session_id=on.board.session.id,
        rider=on.rider.student_id,
        variant=on.variant.id,
        source=source if source != NOT_MEASURED else request.args.get("source"),
    )


@bp.post("/yard/rides/<uuid:attempt_id>/undo")
def undo(attempt_id: UUID) -> ResponseReturnValue:
    """Take back a ride that was recorded a moment ago."""
    ride = load_ride(context.reading(), attempt_id, _own(), context.zone()).line
    reason = writes.TAKEN_BACK
    writes.strike_out(context.database(), context.actor(), attempt_id, reason, context.now())
    onward = url_for(
        "riding.board",
        session_id=ride.session_id,
        rider=request.form.get("rider", type=int) or ride.student_id,
        variant=request.form.get("variant", type=int) or ride.variant_id,
    )
    return redirect(onward, code=303)


@bp.get("/yard/rides/<uuid:attempt_id>")
def ride(attempt_id: UUID) -> ResponseReturnValue:
    """One ride, with what was seen, and the way to strike it out."""
    found = load_ride(context.reading(), attempt_id, _own(), context.zone())
    return page("riding/ride.html", found=found, form=StrikeForm())


@bp.post("/yard/rides/<uuid:attempt_id>/strike-out")
def strike_out(attempt_id: UUID) -> ResponseReturnValue:
    """Strike a ride out with a reason; it stays in sight and stops counting."""
    found = load_ride(context.reading(), attempt_id, _own(), context.zone())
    form = StrikeForm()
    if form.validate_on_submit() and form.saved(lambda: _strike(attempt_id, form.words())):
        return done("Struck out. The ride stays in sight and no longer counts.", "riding.ride",
                    attempt_id=attempt_id)  # fmt: skip
    return refused("riding/ride.html", found=found, form=form)


def _strike(attempt_id: UUID, reason: str) -> UUID:
    return writes.strike_out(context.database(), context.actor(), attempt_id, reason, context.now())
