"""Sessions at the desk: making, changing, opening and cancelling them."""

from __future__ import annotations

from typing import Any

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.diary.clock import day_of
from app.rules.words import count_words
from app.store.diary import reads, session_writes
from app.store.diary.session_notes import session_notes
from app.store.people import reads as people
from app.store.yards import reads as yards
from app.web import context
from app.web.diary.blueprint import bp
from app.web.diary.days import asked, asked_clock
from app.web.diary.forms import NewSessionForm, SessionForm
from app.web.mail import send_soon
from app.web.pages import done, page, refused
from app.web.versions import version_sent

MOST_TYPED = 100


@bp.route("/sessions/new", methods=["GET", "POST"])
def new_session() -> ResponseReturnValue:
    """Make a session."""
    form = NewSessionForm(data=_asked_for())
    form.offer(yards.yards(context.reading()), people.instructors(context.reading()))
    if form.validate_on_submit():
        made = form.saved(
            lambda: session_writes.add_session(
                context.database(), context.actor(), form.wish(), form.key, context.now()
            )
        )
        if made is not None:
            send_soon()
            return done("The session is in the diary.", "diary.session", session_id=made)
    answer = refused if request.method == "POST" else page
    return answer("diary/new_session.html", form=form)


def _asked_for() -> dict[str, Any]:
    """What the address says of the session: when, with whom and where, as far as it does."""
    found = {
        "day": asked().day,
        "starts": asked_clock("at"),
        "ends": asked_clock("until"),
        "instructor_id": request.args.get("instructor", type=int),
        "yard_id": request.args.get("yard", type=int),
    }
    return {name: value for name, value in found.items() if value is not None}


@bp.get("/sessions/<int:session_id>")
def session(session_id: int) -> ResponseReturnValue:
    """One session with its riders, and a search for one more."""
    typed = request.args.get("q", "").strip()[:MOST_TYPED]
    shown = reads.session_page(context.reading(), session_id, context.now())
    found = people.students(context.reading(), typed) if typed else None
    return page(
        "diary/session.html",
        shown=shown,
        typed=typed,
        found=found,
        over=shown.line.ends_at <= context.now(),
        begun=day_of(shown.line.starts_at, context.zone()) <= context.today(),
        notes=session_notes(context.reading(), shown, context.settings(), context.now()),
    )


@bp.route("/sessions/<int:session_id>/edit", methods=["GET", "POST"])
def edit_session(session_id: int) -> ResponseReturnValue:
    """Change a session."""
    shown = reads.session_page(context.reading(), session_id, context.now())
    form = SessionForm(data=_values(shown))
    form.offer(yards.yards(context.reading()), people.instructors(context.reading()))
    if form.validate_on_submit():
        kept = form.saved(
            lambda: session_writes.edit_session(
                context.database(),
                context.actor(),
                session_id,
                version_sent(),
                form.wish(),
                context.now(),
            )
        )
        if kept is not None:
            send_soon()
            return done("The session is changed.", "diary.session", session_id=session_id)
    answer = refused if request.method == "POST" else page
    return answer("diary/edit_session.html", form=form, shown=shown)


def _values(shown: reads.SessionPage) -> dict[str, Any]:
    starts = shown.line.starts_at.astimezone(context.zone())
    ends = shown.line.ends_at.astimezone(context.zone())
    return {
        "version": shown.version,
        "day": starts.date(),
        "starts": starts.time(),
        "ends": ends.time(),
        "instructor_id": shown.line.instructor_id,
        "yard_id": shown.yard_id,
        "kind": shown.line.kind,
        "places": shown.line.places,
        "remarks": shown.remarks,
    }


@bp.get("/sessions/<int:session_id>/cancel")
def ask_cancel_session(session_id: int) -> ResponseReturnValue:
    """Show whom cancelling a session would concern."""
    return page(
        "diary/cancel_session.html",
        shown=reads.session_page(context.reading(), session_id, context.now()),
    )


@bp.post("/sessions/<int:session_id>/cancel")
def cancel_session(session_id: int) -> ResponseReturnValue:
    """Cancel a session with its bookings."""
    number = session_writes.cancel_session(
        context.database(), context.actor(), session_id, version_sent(), context.now()
    )
    send_soon()
    told = count_words(number, "student was", "students were")
    said = f"The session is cancelled. {told} booked: {_how_told()}."
    return done(
        said if number else "The session is cancelled. Nobody was booked.",
        "diary.session",
        session_id=session_id,
    )


def _how_told() -> str:
    if context.config().smtp is None:
        return "let them know"
    return "those with an email on file are written to, ring the others"
