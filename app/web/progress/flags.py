"""The list of all flags, narrowed by where, manoeuvre, standing and instructor."""

from __future__ import annotations

from flask import request, url_for
from flask.typing import ResponseReturnValue

from app.rules.progress.target import Standing
from app.rules.progress.words import STANDING_WORDS
from app.rules.words import moment_words
from app.store.progress.flag_students import (
    Wanted,
    Where,
    instructors_to_choose,
    sessions_to_choose,
)
from app.store.progress.flags import Flags, flag_page
from app.web.context import now, reading, settings, zone
from app.web.pages import page
from app.web.progress.boxes import Choice
from app.web.progress.routes import bp
from app.web.progress.tabs import tabs

WHERE_WORDS = {
    Where.WEEK: "Booked this week",
    Where.LEARNING: "Learning now",
    Where.SCHOOL: "The whole school",
}
NARROWS = ("where", "manoeuvre", "standing", "instructor")
FLAGGED = [standing for standing in Standing if standing is not Standing.STEADY]


@bp.get("/progress/flags")
def flags() -> ResponseReturnValue:
    """Whatever is not yet clean and consistent, by student."""
    wanted = _wanted()
    found = flag_page(reading(), wanted, now(), settings(), _page())
    return page(
        "progress/flags.html",
        found=found,
        session_id=wanted.session_id if found.students else None,
        choices=_choices(wanted, found),
        tabs=tabs(),
        earlier=_address(found.leaf.page - 1) if found.leaf.page > 1 else None,
        later=_address(found.leaf.page + 1) if found.leaf.page < found.leaf.pages else None,
    )


def _wanted() -> Wanted:
    """What the address asks for; what it asks for in vain narrows nothing."""
    where, standing = request.args.get("where", ""), request.args.get("standing", "")
    return Wanted(
        session_id=_id(where),
        where=Where(where) if where in set(Where) else Where.WEEK,
        manoeuvre=request.args.get("manoeuvre") or None,
        standing=Standing(standing) if standing in set(FLAGGED) else None,
        instructor_id=_id(request.args.get("instructor", "")),
    )


def _id(text: str) -> int | None:
    """An id that both databases can hold, or None."""
    return int(text) if text.isdecimal() and len(text) < 10 else None


def _choices(wanted: Wanted, found: Flags) -> dict[str, tuple[str, list[Choice]]]:
    """The four select boxes by name: each with its label and its choices."""
    manoeuvres = [("", "All manoeuvres"), *found.manoeuvres]
    standings = [("", "Any that is flagged"), *((one, STANDING_WORDS[one]) for one in FLAGGED)]
    instructors = [("", "Any instructor")]
    instructors += [(str(id_), name) for id_, name in instructors_to_choose(reading())]
    return {
        "where": ("Whose", _chosen(_places(), str(wanted.session_id or wanted.where))),
        "manoeuvre": ("Manoeuvre", _chosen(manoeuvres, wanted.manoeuvre or "")),
        "standing": ("Standing", _chosen(standings, wanted.standing or "")),
        "instructor": ("Instructor", _chosen(instructors, str(wanted.instructor_id or ""))),
    }


def _places() -> list[tuple[str, str]]:
    places = [(where.value, words) for where, words in WHERE_WORDS.items()]
    for line in sessions_to_choose(reading(), now(), zone()):
        said = f"{moment_words(line.starts_at, zone())}, {line.yard}, {line.instructor}"
        places.append((str(line.id), said))
    return places


def _chosen(choices: list[tuple[str, str]], value: str) -> list[Choice]:
    return [Choice(each, label, each == value) for each, label in choices]


def _page() -> int:
    return request.args.get("page", default=1, type=int)


def _address(number: int) -> str:
    kept = {name: request.args[name] for name in NARROWS if name in request.args}
    return url_for("progress.flags", page=number, **kept)  # type: ignore[arg-type]
