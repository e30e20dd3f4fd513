"""What an instructor must be authorised for, and by whom training is given."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from app.rules.people.days import WeeklyHours
from app.rules.people.students import why_not_name
from app.rules.refusal import Reason

_FURTHEST = timedelta(days=20 * 366)


class Authorisation(StrEnum):
    """What an instructor may teach.

    Official (DVSA manual for training bodies): CBT has an authorisation of its own,
    and so has direct access, the training for category A and A2 on large machines.
    """

    CBT = "cbt"
    DIRECT_ACCESS = "direct_access"


AUTHORISATION_WORDS: Mapping[Authorisation, str] = {
    Authorisation.CBT: "CBT",
    Authorisation.DIRECT_ACCESS: "direct access",
}


@dataclass(frozen=True, slots=True)
class InstructorFacts:
    """What the desk writes down about an instructor.

    ``authorisations`` has those on file, each with its last day or None where no end is known.
    """

    name: str
    hours: tuple[WeeklyHours, ...] = ()
    authorisations: Mapping[Authorisation, date | None] = field(default_factory=dict)


def why_not_instructor(facts: InstructorFacts, today: date) -> tuple[Reason, ...]:
    """Every reason against keeping this on ``today``. One that has lapsed may well be on file."""
    return tuple(_reasons(facts, today))


def _reasons(facts: InstructorFacts, today: date) -> Iterator[Reason]:
    if sentence := why_not_name(facts.name):
        yield Reason(sentence, "name")
    for kind, ends in facts.authorisations.items():
        if ends and abs(ends - today) > _FURTHEST:
            yield Reason("This day is more than 20 years away. Check the year.", f"{kind}_until")
