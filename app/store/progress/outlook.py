"""One student's readiness for the test: the chance with its range, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.progress.journey import Stop, journey
from app.rules.progress.prospects import School, prospects
from app.rules.progress.readiness import Readiness
from app.rules.progress.readiness_words import (
    in_hundred,
    in_tenths,
    rests_on,
    rise_words,
    to_student,
)
from app.rules.progress.state import LearnerState
from app.store.progress.kept import own_faults
from app.store.progress.results import school_now
from app.store.progress.states import all_evidence, load_states
from app.store.riding.tables import ManoeuvreRow

COSTS_TOLD = 3
"""How many manoeuvres are named as costing most."""


@dataclass(frozen=True, slots=True)
class Cost:
    """A manoeuvre that costs much of the chance, and how much there is to win."""

    manoeuvre: str
    rise: str


@dataclass(frozen=True, slots=True)
class Outlook:
    """Readiness in words. ``untried`` counts the manoeuvres of the test not yet ridden.

    ``stops`` are the chances after the last sessions, oldest first, where they were asked for.
    """

    ready: Readiness
    results: int
    untried: int
    costs: tuple[Cost, ...]
    stops: tuple[Stop, ...] = ()

    @property
    def in_words(self) -> str:
        """In tenths, for anyone."""
        return in_tenths(self.ready)

    @property
    def in_figures(self) -> str:
        """In hundredths with the range, for instructors."""
        return in_hundred(self.ready)

    @property
    def rests_on(self) -> str:
        """What the figure has been held against."""
        return rests_on(self.results)

    @property
    def for_student(self) -> str:
        """In words for the student, without a promise."""
        return to_student(self.ready, self.untried)


def outlook(
    session: Session, student_id: int, now: datetime, *, moved: bool = False
) -> Outlook | None:
    """A student's readiness today; None where no test is set up. Eight queries.

    With ``moved``, also how it moved over the last sessions: one query more.
    """
    school = school_now(session)
    if not school.parts:
        return None
    state = load_states(session, [student_id], school.parameters)[student_id]
    own = own_faults(session, [student_id]).get(student_id, {})
    ready = prospects(state, school, own, now)
    found = outlook_of(ready, state, school, manoeuvre_names(session))
    if not moved:
        return found
    return replace(found, stops=journey(all_evidence(session, student_id), school, own))


def outlook_of(
    ready: Readiness, state: LearnerState, school: School, names: dict[int, str]
) -> Outlook:
    """A readiness with what costs most by name."""
    ridden = {id_ for id_, known in state.variants.items() if known.rides}
    return Outlook(
        ready=ready,
        results=school.results.rests_on,
        untried=sum(not ridden & set(variants) for _, variants in school.parts),
        costs=tuple(
            Cost(names[gain.manoeuvre_id], rise_words(gain)) for gain in ready.gains[:COSTS_TOLD]
        ),
    )


def manoeuvre_names(session: Session) -> dict[int, str]:
    """The names of the manoeuvres by id. One query."""
    found = session.execute(select(ManoeuvreRow.id, ManoeuvreRow.name))
    return {row.id: row.name for row in found}
