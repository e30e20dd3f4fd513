"""Find a place for a student: the soonest places, or why there is none."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from flask import request, url_for
from flask.typing import ResponseReturnValue

from app.rules.diary.finding import Found, find, is_settled
from app.rules.diary.finding_facts import Wish
from app.rules.diary.finding_places import Place
from app.rules.diary.finding_wishes import furthest
from app.store.diary import horizon, loading
from app.store.people import reads as people
from app.store.progress.needs import needs_of
from app.store.yards import reads as yards
from app.web.context import now, reading, settings, today, zone
from app.web.pages import page, refused
from app.web.progress.finding_forms import USUAL_DAYS, FindForm, usual
from app.web.progress.routes import bp


@bp.get("/students/<int:student_id>/find")
def find_place(student_id: int) -> ResponseReturnValue:
    """Ask what a student wants and when they can, and show the soonest places."""
    rider = loading.rider(reading(), student_id)
    needs = needs_of(reading(), student_id, now(), settings())
    asked = "first_day" in request.args
    form = FindForm(request.args if asked else None, data=usual(today()), meta={"csrf": False})
    form.offer(yards.yards(reading()), people.instructors(reading()), keyboard=not asked)
    shown: dict[str, Any] = {
        "form": form,
        "rider": rider,
        "needs": needs,
        "student_id": student_id,
        "asked": asked,
    }
    if asked and not form.validate():
        return refused("progress/find.html", found=None, **shown)
    wish = form.wish(student_id, rider, needs)
    if not form.understood(wish, today()):
        return refused("progress/find.html", found=None, **shown)
    found = _found(wish)
    return page("progress/find.html", found=found, lines=_lines(wish, found), **shown)


def _found(wish: Wish) -> Found:
    """The search: first the days that usually are enough, then all of them.

    Where nothing is found, later days are looked at too, for what they hold.
    """
    near = replace(wish, last_day=wish.first_day + timedelta(days=USUAL_DAYS - 1))
    if near.last_day < wish.last_day:
        found = _among(near, near.last_day, explain=False)
        if is_settled(found, near.last_day, zone()):
            return found
    no_more = wish.last_day >= furthest(wish)
    found = _among(wish, wish.last_day, explain=no_more)
    return found if found.places or no_more else _among(wish, furthest(wish), explain=True)


def _among(wish: Wish, last_day: date, *, explain: bool) -> Found:
    facts = horizon.load(reading(), wish.first_day, last_day, now(), zone())
    return find(wish, facts, now(), zone(), explain=explain)


def _lines(wish: Wish, found: Found) -> list[tuple[Place, str]]:
    """Each place with the address at which it is booked."""
    return [(place, _address(wish, place)) for place in found.places]


def _address(wish: Wish, place: Place) -> str:
    if place.session_id is not None:
        return url_for(
            "diary.book",
            session_id=place.session_id,
            student_id=wish.student_id,
            bike=place.bike_id or 0,
        )
    return url_for(
        "progress.open_place",
        student_id=wish.student_id,
        kind=place.kind,
        at=place.span.starts_at.isoformat(),
        minutes=int((place.span.ends_at - place.span.starts_at).total_seconds()) // 60,
        yard=place.yard_id,
        instructor=place.instructor_id,
        bike=place.bike_id or 0,
    )
