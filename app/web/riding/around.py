"""What stands around the rides of a session: conditions, the safety check, defects, incidents."""

from __future__ import annotations

from uuid import UUID

from flask import request
from flask.typing import ResponseReturnValue

from app.rules.accounts.access import Scope
from app.rules.refusal import Reason, Refused
from app.store.riding import incidents as incident_store
from app.store.riding import safety as safety_store
from app.store.riding.around import Around, load_around, other_bikes
from app.store.yards import writes as yards
from app.web import context
from app.web.mail import send_soon
from app.web.pages import done, page, refused
from app.web.riding.around_forms import ConditionsForm, DefectForm, IncidentForm, bikes_of
from app.web.riding.routes import bp


def _around(session_id: int) -> Around:
    """The session, when it is this person's."""
    own = None if context.scope() is Scope.ALL else (context.actor().instructor_id or 0)
    return load_around(context.reading(), session_id, own)


def _back(sentence: str, around: Around) -> ResponseReturnValue:
    rider = request.args.get("rider", type=int)
    return done(sentence, "riding.board", session_id=around.session_id, rider=rider)


@bp.route("/yard/sessions/<int:session_id>/conditions", methods=["GET", "POST"])
def conditions(session_id: int) -> ResponseReturnValue:
    """Say how surface and wind are."""
    around = _around(session_id)
    form = ConditionsForm.showing(around.conditions)
    if form.validate_on_submit() and form.saved(lambda: _said(form, session_id)) is not None:
        return _back(f"Conditions: {form.conditions().words}.", around)
    answer = refused if request.method == "POST" else page
    return answer("riding/conditions.html", around=around, form=form)


def _said(form: ConditionsForm, session_id: int) -> int:
    return safety_store.say_conditions(
        context.database(), context.actor(), session_id, form.conditions(), context.now()
    )


@bp.route("/yard/sessions/<int:session_id>/safety", methods=["GET", "POST"])
def safety(session_id: int) -> ResponseReturnValue:
    """Confirm the usual checks before the first ride."""
    around = _around(session_id)
    form = ConditionsForm.showing(around.conditions)
    if form.validate_on_submit() and form.saved(lambda: _confirmed(form, session_id)) is not None:
        return _back("The safety check is kept. Stop whenever you are in doubt.", around)
    answer = refused if request.method == "POST" else page
    return answer("riding/safety.html", around=around, form=form)


def _confirmed(form: ConditionsForm, session_id: int) -> int:
    return safety_store.confirm(
        context.database(), context.actor(), session_id, form.conditions(), context.now()
    )


@bp.route("/yard/sessions/<int:session_id>/incident", methods=["GET", "POST"])
def incident(session_id: int) -> ResponseReturnValue:
    """Write down a near miss, a fall or an injury."""
    around = _around(session_id)
    form = IncidentForm()
    if form.validate_on_submit() and form.saved(lambda: _reported(form, session_id)) is not None:
        send_soon()
        return _back("It is written down, and the owner is told.", around)
    answer = refused if request.method == "POST" else page
    return answer("riding/incident.html", around=around, form=form)


def _reported(form: IncidentForm, session_id: int) -> UUID:
    return incident_store.report(
        context.database(),
        context.actor(),
        form.incident(session_id, request.form.get("rider")),
        context.now(),
        mail=context.config().smtp is not None,
    )


@bp.route("/yard/sessions/<int:session_id>/defect", methods=["GET", "POST"])
def defect(session_id: int) -> ResponseReturnValue:
    """Report a bike that is not fit to ride, which takes it off the road."""
    around = _around(session_id)
    form = DefectForm()
    if form.validate_on_submit() and form.saved(lambda: _taken_off(form)) is not None:
        return _back("The bike is off the road until the desk clears it.", around)
    answer = refused if request.method == "POST" else page
    return answer(
        "riding/defect.html",
        around=around,
        form=form,
        bikes=bikes_of(around.riders),
        others=other_bikes(context.reading(), around),
    )


def _taken_off(form: DefectForm) -> int:
    bike = request.form.get("bike", type=int)
    if bike is None:
        raise Refused(Reason("Press the bike that it is."))
    return yards.report_defect(
        context.database(), context.actor(), bike, form.words(), form.key, context.now()
    )


@bp.post("/office/incidents/<uuid:incident_id>/close")
def close_incident(incident_id: UUID) -> ResponseReturnValue:
    """Close an incident that has been dealt with."""
    incident_store.close(context.database(), context.actor(), incident_id, context.now())
    return done("Closed. It stays on file.", "homes.office")
