"""Instructor ill, yard closed, bike broken: everything affected on one screen, planned anew."""

from __future__ import annotations

from datetime import date

from flask import request
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, SelectField, StringField
from wtforms.validators import Optional

from app.rules.diary.replanning import Lost, Trouble
from app.rules.refusal import Missing, Reason, Refused
from app.rules.words import count_words
from app.store.diary import affected as reads
from app.store.diary.affected import Affected, AffectedRider, AffectedSession
from app.store.diary.replanning import (
    AwayIt,
    Decision,
    DropIt,
    OffRoadIt,
    Replanned,
    Reseat,
    SwapIt,
    replan,
)
from app.store.people import reads as people
from app.store.yards import reads as yards
from app.web import context
from app.web.choices import number, options
from app.web.diary.blueprint import bp
from app.web.diary.days import asked
from app.web.diary.life_forms import place_words, target_of, target_word
from app.web.forms import Length, SchoolForm
from app.web.mail import send_soon
from app.web.pages import done, page, refused
from app.web.versions import version_sent

AS_IT_IS, CANCEL, WAIT, RIDERS = "as-it-is", "cancel", "wait", "riders"


class PlanForm(SchoolForm):
    """What is to be done about each session and each rider; its fields follow from the plan."""

    off = BooleanField("Write these days down as days off, so that nothing is booked on them")
    reason = StringField("What is wrong with the bike", [Optional(), Length(200)])

    def ways_of(self, booking_id: int) -> SelectField:
        """The field of a rider."""
        return self[f"rider-{booking_id}"]

    def session_of(self, session_id: int) -> SelectField:
        """The field of a session."""
        return self[f"session-{session_id}"]


@bp.get("/affected")
def affected() -> ResponseReturnValue:
    """Ask who or what is not there; or show what that affects, with a proposal for each."""
    if "without" not in request.args:
        return _ask()
    shown = _read()
    return page("diary/affected.html", shown=shown, form=_form(shown), lost=Lost)


def _ask() -> ResponseReturnValue:
    return page("diary/lost.html", choices=_choices(), today=context.today())


def _choices() -> dict[str, list[tuple[str, str]]]:
    """Everyone and everything that can be missing, by what it is."""
    session = context.reading()
    return {
        "Instructors": [
            (Trouble(Lost.INSTRUCTOR, one.id).word, one.name)
            for one in people.instructors(session)
            if one.active
        ],
        "Bikes": [
            (Trouble(Lost.BIKE, one.id).word, one.plan.label) for one in yards.bikes(session)
        ],
        "Yards": [(Trouble(Lost.YARD, one.id).word, one.plan.name) for one in yards.yards(session)],
    }


@bp.post("/affected")
def plan_anew() -> ResponseReturnValue:
    """Do what was chosen, all of it or nothing."""
    if "without" not in request.args:
        return _ask()
    shown = _read()
    form = _form(shown)
    if form.validate_on_submit():
        made = form.saved(
            lambda: replan(
                context.database(), context.actor(), _decisions(shown, form), context.now()
            )
        )
        if made is not None:
            send_soon()
            return done(_said(made), "diary.day", on=shown.first_day.isoformat())
    return refused("diary/affected.html", shown=shown, form=form, lost=Lost)


def _read() -> Affected:
    return reads.affected(context.reading(), _trouble(), _days(), context.now(), context.zone())


def _trouble() -> Trouble:
    """What the address says is lost, as ``bike-7``; Missing when it says nothing that can be."""
    lost, _, found = request.args.get("without", "").partition("-")
    try:
        return Trouble(Lost(lost), number(found))
    except ValueError:
        raise Missing from None


def _days() -> tuple[date, date]:
    first = asked("first").day
    return first, max(first, asked("last").day if request.args.get("last") else first)


def _form(shown: Affected) -> PlanForm:
    """A form with a field for each session and each rider of it."""

    class Form(PlanForm):
        """The fields of this plan."""

    for one in shown.sessions:
        setattr(Form, f"session-{one.id}", _session_field(shown, one))
        for rider in one.riders:
            ways = [(target_word(way), place_words(way)) for way in rider.ways]
            ends = [(WAIT, "Cancel, and onto the waiting list"), (CANCEL, "Cancel the booking")]
            field = SelectField(
                rider.student, choices=options([*ways, *ends]), validate_choice=False
            )
            setattr(Form, f"rider-{rider.booking_id}", field)
    return Form(data={"off": True})


def _session_field(shown: Affected, one: AffectedSession) -> SelectField:
    whole = [
        (f"{swap.instructor_id}:{swap.yard_id}", f"{swap.name} takes it")
        if shown.trouble.lost is Lost.INSTRUCTOR
        else (f"{swap.instructor_id}:{swap.yard_id}", f"It is in {swap.name}")
        for swap in one.swaps
    ]
    if shown.trouble.lost is Lost.BIKE:
        rest = [(RIDERS, "Do as said below"), (AS_IT_IS, "Leave it as it is")]
    else:
        rest = [(RIDERS, "Cancel it; its riders as said below"), (AS_IT_IS, "Leave it as it is")]
    return SelectField("The session", choices=options([*whole, *rest]), validate_choice=False)


def _decisions(shown: Affected, form: PlanForm) -> list[Decision]:
    """What was chosen; Refused for what no page of ours sends."""
    try:
        made = [each for one in shown.sessions for each in _of_session(shown, one, form)]
    except ValueError:
        raise Refused(Reason("Choose from the lists.")) from None
    return [*made, *_to_note(shown, form)]


def _to_note(shown: Affected, form: PlanForm) -> list[Decision]:
    """What is to be written down of the trouble itself."""
    if shown.noted:
        return []
    if shown.trouble.lost is Lost.INSTRUCTOR and form.off.data:
        return [AwayIt(shown.trouble.id, shown.first_day, shown.last_day)]
    if shown.trouble.lost is Lost.BIKE and form.reason.data:
        return [OffRoadIt(shown.trouble.id, form.reason.data)]
    return []


def _of_session(shown: Affected, one: AffectedSession, form: PlanForm) -> list[Decision]:
    choice = form.session_of(one.id).data or AS_IT_IS
    if choice == AS_IT_IS:
        return []
    seen = version_sent(f"seen-session-{one.id}")
    if choice != RIDERS:
        instructor, _, yard = choice.partition(":")
        return [SwapIt(one.id, seen, number(instructor), number(yard))]
    made: list[Decision] = [_of_rider(rider, form) for rider in one.riders]
    if shown.trouble.lost is not Lost.BIKE:
        made.append(DropIt(one.id, seen))
    return made


def _of_rider(rider: AffectedRider, form: PlanForm) -> Reseat:
    choice = form.ways_of(rider.booking_id).data
    if choice is None:
        # Not on the page that was sent, so nobody has said what is to become of them.
        raise Refused(
            Reason(f"{rider.student} has come in since you opened this. Say what becomes of them.")
        )
    target = None if choice in (WAIT, CANCEL) else target_of(choice)
    seen = version_sent(f"seen-rider-{rider.booking_id}")
    return Reseat(rider.booking_id, seen, target, waits=choice == WAIT)


def _said(made: Replanned) -> str:
    parts = (
        (made.swapped, "session goes", "sessions go", "on otherwise"),
        (made.dropped, "session is", "sessions are", "cancelled"),
        (made.moved, "rider has", "riders have", "another place"),
        (made.given_up, "booking is", "bookings are", "cancelled"),
    )
    said = [f"{count_words(n, one, many)} {what}" for n, one, many, what in parts if n]
    return f"{', '.join(said)}." if said else "Nothing was changed."
