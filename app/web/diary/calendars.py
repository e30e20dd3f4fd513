"""The pages on which a calendar is given a secret address, shown it once, and loses it."""

from __future__ import annotations

from typing import Any

from flask import url_for
from flask.typing import ResponseReturnValue

from app.rules.accounts.access import Scope
from app.rules.diary.feeds import DAYS_AHEAD, DAYS_BACK, FeedOwner
from app.rules.refusal import Missing
from app.store.diary import feed_addresses, feed_writes
from app.store.diary.feed_writes import MadeFeed
from app.web import context
from app.web.diary.blueprint import bp
from app.web.forms import OnceForm
from app.web.pages import done, page


@bp.get("/students/<int:student_id>/calendar")
def student_calendar(student_id: int) -> ResponseReturnValue:
    """The address of a student's calendar: their own page, and the desk's on request."""
    return _page(_student(student_id))


@bp.post("/students/<int:student_id>/calendar")
def make_student_calendar(student_id: int) -> ResponseReturnValue:
    """Make an address for a student's calendar and show it, this once."""
    return _make(_student(student_id))


@bp.post("/students/<int:student_id>/calendar/end")
def end_student_calendar(student_id: int) -> ResponseReturnValue:
    """End the address of a student's calendar."""
    return _end(_student(student_id))


@bp.get("/instructors/<int:instructor_id>/calendar")
def instructor_calendar(instructor_id: int) -> ResponseReturnValue:
    """The address of an instructor's calendar: their own page, and the desk's on request."""
    return _page(_instructor(instructor_id))


@bp.post("/instructors/<int:instructor_id>/calendar")
def make_instructor_calendar(instructor_id: int) -> ResponseReturnValue:
    """Make an address for an instructor's calendar and show it, this once."""
    return _make(_instructor(instructor_id))


@bp.post("/instructors/<int:instructor_id>/calendar/end")
def end_instructor_calendar(instructor_id: int) -> ResponseReturnValue:
    """End the address of an instructor's calendar."""
    return _end(_instructor(instructor_id))


@bp.get("/calendar")
def school_calendar() -> ResponseReturnValue:
    """The address of the calendar of all sessions."""
    return _page(FeedOwner())


@bp.post("/calendar")
def make_school_calendar() -> ResponseReturnValue:
    """Make an address for the calendar of all sessions and show it, this once."""
    return _make(FeedOwner())


@bp.post("/calendar/end")
def end_school_calendar() -> ResponseReturnValue:
    """End the address of the calendar of all sessions."""
    return _end(FeedOwner())


def _student(student_id: int) -> FeedOwner:
    if context.scope() is Scope.OWN and context.actor().student_id != student_id:
        raise Missing
    return FeedOwner(student_id=student_id)


def _instructor(instructor_id: int) -> FeedOwner:
    if context.scope() is Scope.OWN and context.actor().instructor_id != instructor_id:
        raise Missing
    return FeedOwner(instructor_id=instructor_id)


def _make(owner: FeedOwner) -> ResponseReturnValue:
    form = OnceForm()
    if form.validate_on_submit():
        made = form.saved(
            lambda: feed_writes.make_feed(
                context.database(), context.actor(), owner, form.key, context.now()
            )
        )
        if made is not None:
            # Shown in the answer itself: the address is kept nowhere that could be opened again.
            return _page(owner, made=made)
    return _page(owner, form)


def _end(owner: FeedOwner) -> ResponseReturnValue:
    ended = feed_writes.revoke_feed(context.database(), context.actor(), owner, context.now())
    said = "The address is ended." if ended else "There was no address to end."
    kind, record = _kind(owner)
    return done(said, f"diary.{kind}_calendar", **record)


def _kind(owner: FeedOwner) -> tuple[str, dict[str, Any]]:
    """The word in the names of an owner's screens, and what their addresses hold."""
    if owner.student_id is not None:
        return "student", {"student_id": owner.student_id}
    if owner.instructor_id is not None:
        return "instructor", {"instructor_id": owner.instructor_id}
    return "school", {}


def _page(
    owner: FeedOwner, form: OnceForm | None = None, made: MadeFeed | None = None
) -> ResponseReturnValue:
    kind, record = _kind(owner)
    own = context.scope() is Scope.OWN
    return page(
        "diary/my_calendar.html" if own and kind == "student" else "diary/calendar.html",
        status=422 if form is not None else 200,
        form=form or OnceForm(formdata=None),
        kind=kind,
        own=own,
        address=feed_addresses.address(context.reading(), owner),
        made=made,
        shown=_full_address(made.secret) if made and made.secret else None,
        make_url=url_for(f"diary.make_{kind}_calendar", **record),
        end_url=url_for(f"diary.end_{kind}_calendar", **record),
        back_url=_back(owner),
        days=(DAYS_BACK, DAYS_AHEAD),
    )


def _back(owner: FeedOwner) -> str:
    if context.scope() is Scope.OWN:
        return url_for("accounts.me" if owner.instructor_id is not None else "homes.mine")
    if owner.student_id is not None:
        return url_for("diary.card", student_id=owner.student_id)
    return url_for("diary.week" if owner.instructor_id is None else "people.instructors")


def _full_address(secret: str) -> str:
    """The whole address, at the school's own host where that is set."""
    return context.own_address().rstrip("/") + url_for("diary.feed", token=secret)
