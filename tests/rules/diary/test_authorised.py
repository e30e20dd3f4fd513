"""What an instructor must be authorised for."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import product

import pytest

from app.rules.categories import Category
from app.rules.diary.authorised import (
    give_warnings,
    needed_for,
    teach_warnings,
    why_not_give,
    why_not_teach,
)
from app.rules.diary.school_days import InstructorDays
from app.rules.diary.values import SessionKind
from app.rules.people.authorisations import Authorisation
from tests.rules.diary.facts import DAY

NOTHING = InstructorDays("Ines Heron")


def _with(kind: Authorisation, ends: date | None) -> InstructorDays:
    return InstructorDays("Ines Heron", authorisations={kind: ends})


def test_cbt_is_given_by_somebody_authorised_for_it() -> None:
    """DVSA manual for training bodies: CBT has an authorisation of its own."""
    held = _with(Authorisation.CBT, DAY)
    assert why_not_give(SessionKind.CBT, held, DAY) == ()
    assert give_warnings(SessionKind.CBT, held, DAY) == ()
    (reason,) = why_not_give(SessionKind.CBT, held, DAY + timedelta(days=1))
    assert reason.field == "instructor_id"
    assert reason.sentence == (
        "Ines Heron is authorised for CBT until Thu 3 Dec 2026 only. "
        "Choose another instructor, or put the new authorisation on file."
    )


def test_one_that_is_not_on_file_warns_and_does_not_refuse() -> None:
    assert why_not_give(SessionKind.CBT, NOTHING, DAY) == ()
    assert give_warnings(SessionKind.CBT, NOTHING, DAY) == (
        "No CBT authorisation of Ines Heron is on file.",
    )


def test_one_without_an_end_holds() -> None:
    held = _with(Authorisation.CBT, None)
    assert why_not_give(SessionKind.CBT, held, date(2040, 1, 1)) == ()
    assert give_warnings(SessionKind.CBT, held, DAY) == ()


@pytest.mark.parametrize("kind", [k for k in SessionKind if k is not SessionKind.CBT])
def test_other_sessions_need_none_of_their_own(kind: SessionKind) -> None:
    lapsed = _with(Authorisation.CBT, DAY - timedelta(days=1))
    assert why_not_give(kind, lapsed, DAY) == ()
    assert give_warnings(kind, NOTHING, DAY) == ()


@pytest.mark.parametrize(("student", "bike"), [*product(Category, [*Category, None])])
def test_a_large_machine_under_a_student_of_a_or_a2_needs_direct_access(
    student: Category, bike: Category | None
) -> None:
    """DVSA manual for training bodies, direct access."""
    large = {Category.A, Category.A2}
    needed = student in large and bike in large
    assert needed_for(student, bike) == (Authorisation.DIRECT_ACCESS if needed else None)
    assert bool(teach_warnings(NOTHING, student, bike, DAY)) is needed
    lapsed = _with(Authorisation.DIRECT_ACCESS, DAY - timedelta(days=1))
    assert bool(why_not_teach(lapsed, student, bike, DAY)) is needed
    assert why_not_teach(_with(Authorisation.DIRECT_ACCESS, DAY), student, bike, DAY) == ()


def test_cbt_does_not_stand_in_for_direct_access() -> None:
    held = _with(Authorisation.CBT, None)
    assert teach_warnings(held, Category.A, Category.A, DAY) == (
        "No direct access authorisation of Ines Heron is on file.",
    )
