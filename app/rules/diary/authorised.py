"""What an instructor must be authorised for, session by session and rider by rider.

One that has lapsed refuses. One that is not on file only warns: it may well exist,
and nobody has written it down yet.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from app.rules.categories import Category
from app.rules.diary.facts import Teacher
from app.rules.diary.school_days import InstructorDays
from app.rules.diary.values import SessionKind
from app.rules.people.authorisations import AUTHORISATION_WORDS, Authorisation
from app.rules.refusal import Reason
from app.rules.words import date_words

FOR_KIND: Mapping[SessionKind, Authorisation] = {SessionKind.CBT: Authorisation.CBT}
"""CBT is given by an instructor who is authorised for it: DVSA manual for training bodies."""

LARGE = frozenset({Category.A2, Category.A})
"""The categories of direct access: DVSA manual for training bodies, direct access."""


def needed_for(student: Category, bike: Category | None) -> Authorisation | None:
    """What teaching this student on a bike of this category needs beyond any session's own.

    Official (DVSA manual for training bodies): direct access, training for category A or
    A2 on a large machine, has an authorisation of its own. ``bike`` is None for the
    student's own, whose category is not on file, so that nothing can be said.
    """
    return Authorisation.DIRECT_ACCESS if student in LARGE and bike in LARGE else None


def why_not_give(
    kind: SessionKind, instructor: Teacher | InstructorDays, day: date
) -> tuple[Reason, ...]:
    """Why an instructor must not give a session of this kind on a day: it has lapsed."""
    return _lapsed(FOR_KIND.get(kind), instructor, day)


def give_warnings(
    kind: SessionKind, instructor: Teacher | InstructorDays, day: date
) -> tuple[str, ...]:
    """What to check before an instructor gives a session of this kind."""
    return _not_on_file(FOR_KIND.get(kind), instructor, day)


def why_not_teach(
    instructor: Teacher | InstructorDays, student: Category, bike: Category | None, day: date
) -> tuple[Reason, ...]:
    """Why an instructor must not teach this student on this bike on a day: it has lapsed."""
    return _lapsed(needed_for(student, bike), instructor, day)


def teach_warnings(
    instructor: Teacher | InstructorDays, student: Category, bike: Category | None, day: date
) -> tuple[str, ...]:
    """What to check before an instructor teaches this student on this bike."""
    return _not_on_file(needed_for(student, bike), instructor, day)


def _lapsed(
    needed: Authorisation | None, instructor: Teacher | InstructorDays, day: date
) -> tuple[Reason, ...]:
    ends = instructor.authorisations.get(needed) if needed else None
    if needed is None or ends is None or day <= ends:
        return ()
    what = AUTHORISATION_WORDS[needed]
    return (
        Reason(
            f"{instructor.name} is authorised for {what} until {date_words(ends)} only. "
            "Choose another instructor, or put the new authorisation on file.",
            "instructor_id",
        ),
    )


def _not_on_file(
    needed: Authorisation | None, instructor: Teacher | InstructorDays, _day: date
) -> tuple[str, ...]:
    if needed is None or needed in instructor.authorisations:
        return ()
    return (f"No {AUTHORISATION_WORDS[needed]} authorisation of {instructor.name} is on file.",)
