"""A mock test in the yard: begun for one rider, one manoeuvre a screen, ended or stopped."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from flask import redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.rules.accounts.access import Scope
from app.rules.refusal import Missing, Reason, Refused
from app.rules.riding import safety
from app.rules.riding.recording import Word
from app.rules.riding.values import Side, SpeedSource
from app.store.progress import writes
from app.store.riding import mock_reads, mock_writes
from app.store.riding import safety as safety_store
from app.store.riding.around import load_around
from app.store.riding.board import Board, BoardRider, load_board, offers_by_use
from app.store.riding.course import CourseVariant
from app.store.riding.mock_reads import MockTest
from app.store.riding.one_ride import load_ride
from app.web import context
from app.web.pages import page, refused
from app.web.riding import views
from app.web.riding.forms import NOT_MEASURED, SOURCES, ticked
from app.web.riding.mock_forms import MOVED_ON, StartForm, StopForm, TakeBackForm, TurnForm, number
from app.web.riding.mock_live import mock_data
from app.web.riding.routes import bp

_TAKEN_BACK = "That ride was taken back before. Record it again on this page."


@dataclass(frozen=True, slots=True)
class TurnView:
    """The screen of one manoeuvre: what is ridden and the faults that can be ticked, no remarks."""

    test: MockTest
    variant: CourseVariant
    minimum_kmh: float | None
    faults: tuple[views.FaultKey, ...]
    more: tuple[views.FaultKey, ...]


def _own() -> int | None:
    """Whose sessions this person finds: their own, or everyone's (None)."""
    return None if context.scope() is Scope.ALL else (context.actor().instructor_id or 0)


def _rider(session_id: int, student_id: int) -> tuple[Board, BoardRider]:
    board = load_board(context.reading(), session_id, _own(), context.zone())
    rider = board.rider(student_id)
    if rider is None:
        raise Missing(f"student {student_id} in session {session_id}")
    return board, rider


def _sides(board: Board) -> tuple[Side, ...]:
    codes = {variant.variant.code for variant in board.rideable}
    return tuple(side for side in Side if side.value in codes)


def _load(mock_test_id: UUID) -> MockTest:
    return mock_reads.load_mock_test(
        context.reading(), mock_test_id, context.zone(), instructor_id=_own()
    )


@bp.get("/yard/sessions/<int:session_id>/riders/<int:student_id>/mock-test")
def new_mock_test(session_id: int, student_id: int) -> ResponseReturnValue:
    """Begin a mock test for one rider, or go on with the one that is running."""
    board, rider = _rider(session_id, student_id)
    return _start_page(board, rider, StartForm.offering(_sides(board)))


@bp.post("/yard/sessions/<int:session_id>/riders/<int:student_id>/mock-test")
def start_mock_test(session_id: int, student_id: int) -> ResponseReturnValue:
    """Begin it."""
    board, rider = _rider(session_id, student_id)
    form = StartForm.offering(_sides(board))
    if form.validate_on_submit() and (begun := form.saved(lambda: _start(board, rider, form))):
        return redirect(url_for("riding.mock_test", mock_test_id=begun), code=303)
    return _start_page(board, rider, form)


def _start(board: Board, rider: BoardRider, form: StartForm) -> UUID:
    # Asked here and not where tests are kept: one that a tablet sends later must never be lost.
    if not safety_store.is_checked(context.reading(), board.session.id):
        raise Refused(Reason(safety.FIRST))
    now = context.now()
    new = form.test(board, rider, now)
    return mock_writes.start(context.database(), context.actor(), new, now)


def _start_page(board: Board, rider: BoardRider, form: StartForm) -> ResponseReturnValue:
    answer = refused if form.is_submitted() else page
    around = load_around(context.reading(), board.session.id, None)
    running = mock_reads.running_test(context.reading(), board.session.id, rider.student_id)
    rideable = {variant.manoeuvre.code for variant in board.rideable}
    left_out = [m.name for m in board.course.syllabus.manoeuvres if m.code not in rideable]
    return answer(
        "riding/mock_start.html",
        board=board,
        rider=rider,
        form=form,
        around=around,
        running=running,
        left_out=left_out,
    )


@bp.get("/yard/mock-tests/<uuid:mock_test_id>")
def mock_test(mock_test_id: UUID) -> ResponseReturnValue:
    """What is ridden next; when nothing is, the way to the end; after it, the way on."""
    return _page(_load(mock_test_id), TurnForm.fresh(), [], request.args.get("source"))


def _page(
    test: MockTest, form: TurnForm, ticks: list[str], usual: str | None
) -> ResponseReturnValue:
    answer = refused if form.errors else page
    if test.ended_at is not None:
        return answer("riding/mock_over.html", test=test, form=form)
    if test.turn is None:
        return answer("riding/mock_finished.html", test=test, form=form)
    usual = usual if usual in set(SpeedSource) else SpeedSource.GATE
    view = _view(test, ticks)
    live = None if form.errors else mock_data(test)
    return answer(
        "riding/mock_turn.html", view=view, form=form, sources=SOURCES, usual=usual, live=live
    )


def _view(test: MockTest, ticks: list[str]) -> TurnView:
    variant = test.next_variant
    offers = offers_by_use(context.reading(), test.course, variant.manoeuvre.code)
    faults, more, _remarks = views.split(views.fault_keys(offers, ticks))
    return TurnView(test, variant, variant.minimum_for(test.category), faults, more)


@bp.post("/yard/mock-tests/<uuid:mock_test_id>/rides")
def record_in_mock_test(mock_test_id: UUID) -> ResponseReturnValue:
    """Keep one ride of it, if it is what comes next."""
    test, form = _load(mock_test_id), TurnForm()
    ticks = request.form.getlist("fault")
    if form.validate_on_submit() and form.saved(lambda: _keep(test, form, ticks)):
        source = (
            form.source.data if form.source.data != NOT_MEASURED else request.args.get("source")
        )
        return redirect(url_for("riding.mock_test", mock_test_id=test.id, source=source), code=303)
    if form.is_for(test):
        form.renumber()
        return _page(test, form, ticks, form.source.data)
    moved_on = TurnForm.fresh()
    moved_on.form_errors = form.form_errors
    return _page(test, moved_on, [], request.args.get("source"))


def _keep(test: MockTest, form: TurnForm, ticks: list[str]) -> bool:
    """Record the ride that was sent; one that was sent before is there already."""
    kept = {ride.attempt_id for ride in test.rides}
    if number(form.attempt_id.data) in kept:
        return True
    if test.ended_at is not None:
        raise Refused(Reason("This mock test has ended. Nothing was kept of the page you sent."))
    if not form.is_for(test):
        raise Refused(Reason(MOVED_ON))
    offers = test.course.offers(test.next_variant.manoeuvre.code).values()
    faults = ticked(ticks, request.form, [offer for offer in offers if not offer.is_remark])
    ride = form.in_test(test, request.form.get("press", ""), faults, context.now())
    (answer,) = writes.record_rides(context.database(), context.actor(), [ride], context.now())
    if answer.word is Word.SAVED:
        return True
    raise Refused(Reason(answer.reason or _TAKEN_BACK))


@bp.post("/yard/mock-tests/<uuid:mock_test_id>/undo")
def undo_in_mock_test(mock_test_id: UUID) -> ResponseReturnValue:
    """Take back the last manoeuvre, unless it was taken back a moment ago."""
    test, form = _load(mock_test_id), TakeBackForm()
    if form.validate_on_submit() and form.saved(lambda: _take_back(test, form)):
        return redirect(url_for("riding.mock_test", mock_test_id=test.id), code=303)
    again = TurnForm.fresh()
    again.form_errors = form.form_errors
    return _page(test, again, [], None)


def _take_back(test: MockTest, form: TakeBackForm) -> bool:
    named = number(form.attempt_id.data)
    ride = load_ride(context.reading(), named, _own(), context.zone()).line
    if not ride.counts:
        return True
    if test.ended_at is not None:
        raise Refused(Reason("This mock test has ended. A ride of it is struck out on its page."))
    if test.last is None or named != test.last.attempt_id:
        raise Refused(Reason("This test has moved on. Nothing was taken back."))
    writes.strike_out(context.database(), context.actor(), named, writes.TAKEN_BACK, context.now())
    return True


@bp.post("/yard/mock-tests/<uuid:mock_test_id>/end")
def end_mock_test(mock_test_id: UUID) -> ResponseReturnValue:
    """End it, with everything ridden, and go on to the debrief."""
    test, form = _load(mock_test_id), TurnForm.fresh()
    if form.saved(lambda: _end(mock_test_id)):
        return redirect(_debrief(test), code=303)
    return _page(test, form, [], None)


def _end(mock_test_id: UUID) -> UUID:
    now = context.now()
    return mock_writes.end(
        context.database(), context.actor(), mock_test_id, now, now, context.zone()
    )


def _debrief(test: MockTest) -> str:
    return url_for("progress.debrief", mock_test_id=test.id)


@bp.get("/yard/mock-tests/<uuid:mock_test_id>/stop")
def ask_stop_mock_test(mock_test_id: UUID) -> ResponseReturnValue:
    """Why it is to be stopped."""
    return page("riding/mock_stop.html", test=_load(mock_test_id), form=StopForm())


@bp.post("/yard/mock-tests/<uuid:mock_test_id>/stop")
def stop_mock_test(mock_test_id: UUID) -> ResponseReturnValue:
    """Stop it; what was ridden is kept."""
    test, form = _load(mock_test_id), StopForm()
    if form.validate_on_submit() and form.saved(lambda: _stop(mock_test_id, form)):
        return redirect(_debrief(test), code=303)
    return refused("riding/mock_stop.html", test=test, form=form)


def _stop(mock_test_id: UUID, form: StopForm) -> UUID:
    now = context.now()
    return mock_writes.stop(
        context.database(), context.actor(), mock_test_id, form.words(), now, now
    )
