"""A student's progress as their own page and the instructor's view of it show it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.rules.categories import Category
from app.rules.progress.priorities import CAUSE_WORDS, Candidate, priorities
from app.rules.progress.standing import weakest
from app.rules.riding.syllabus import Manoeuvre
from app.rules.settings import SchoolSettings
from app.store.people.reads import student_row
from app.store.progress.coming import NextSession, NextTest, next_session, next_test
from app.store.progress.picture import Picture, VariantProgress, load_picture
from app.store.riding.course import CourseVariant
from app.store.riding.tables import AttemptRow


@dataclass(frozen=True, slots=True)
class ManoeuvreProgress:
    """One manoeuvre with what is said about it; it is as steady as its weakest variant."""

    about: Manoeuvre
    weakest: VariantProgress
    variants: tuple[VariantProgress, ...]

    @property
    def name(self) -> str:
        """What it is called."""
        return self.about.name

    @property
    def standing(self) -> str:
        """The standing in words."""
        return self.weakest.standing


@dataclass(frozen=True, slots=True)
class Practise:
    """One thing to practise: the manoeuvre, why it was picked, and one coaching point."""

    manoeuvre: ManoeuvreProgress
    cause: str
    coaching_point: str

    @property
    def variant(self) -> VariantProgress:
        """The variant to ride."""
        return self.manoeuvre.weakest


@dataclass(frozen=True, slots=True)
class Totals:
    """Rides that were not struck out, the sessions they lie in, and how much is steady."""

    rides: int
    sessions: int
    steady: int
    manoeuvres: int


@dataclass(frozen=True, slots=True)
class StudentProgress:
    """One student now. ``retired`` are variants they rode that are no longer taught."""

    student_id: int
    name: str
    category: Category
    caution: str
    manoeuvres: tuple[ManoeuvreProgress, ...]
    retired: tuple[VariantProgress, ...]
    to_practise: tuple[Practise, ...]
    next_session: NextSession | None
    next_test: NextTest | None
    totals: Totals

    @property
    def first_name(self) -> str:
        """What a greeting says."""
        return self.name.split()[0]


def student_progress(
    session: Session, student_id: int, now: datetime, settings: SchoolSettings
) -> StudentProgress:
    """All that is said of a student's progress; Missing when there is no such student.

    Fifteen queries, however much was ridden. Days are counted at the school.
    """
    student = student_row(session, student_id)
    picture = load_picture(session, student_id, now, settings)
    manoeuvres = _manoeuvres(picture)
    return StudentProgress(
        student_id=student.id,
        name=student.name,
        category=student.category,
        caution=picture.course.syllabus.caution,
        manoeuvres=manoeuvres,
        retired=_retired(picture),
        to_practise=_to_practise(manoeuvres),
        next_session=next_session(session, student_id, now),
        next_test=next_test(session, student_id, now),
        totals=_totals(session, student_id, manoeuvres),
    )


def _manoeuvres(picture: Picture) -> tuple[ManoeuvreProgress, ...]:
    ways: dict[str, list[CourseVariant]] = {}
    for each in picture.course.variants:
        ways.setdefault(each.manoeuvre.code, []).append(each)
    return tuple(
        _manoeuvre(found[0].manoeuvre, tuple(map(picture.variant, found)))
        for found in ways.values()
    )


def _manoeuvre(about: Manoeuvre, variants: tuple[VariantProgress, ...]) -> ManoeuvreProgress:
    least = weakest(each.assessment for each in variants)
    judging = next(each for each in variants if each.assessment is least)
    return ManoeuvreProgress(about, judging, variants)


def _retired(picture: Picture) -> tuple[VariantProgress, ...]:
    known = picture.course.retired_variants
    return tuple(picture.variant(known[each]) for each in sorted(picture.recent) if each in known)


def _to_practise(manoeuvres: tuple[ManoeuvreProgress, ...]) -> tuple[Practise, ...]:
    """``manoeuvres`` stand in the order of the syllabus, so their number is their place."""
    candidates = [
        Candidate(number, number, each.weakest.assessment) for number, each in enumerate(manoeuvres)
    ]
    return tuple(
        _practise(manoeuvres[pick.candidate.place], CAUSE_WORDS[pick.cause])
        for pick in priorities(candidates)
    )


def _practise(manoeuvre: ManoeuvreProgress, cause: str) -> Practise:
    points = manoeuvre.about.coaching_points
    return Practise(manoeuvre, cause, points[0] if points else "")


def _totals(session: Session, student_id: int, manoeuvres: tuple[ManoeuvreProgress, ...]) -> Totals:
    rides, sessions = session.execute(
        select(func.count(), func.count(AttemptRow.session_id.distinct())).where(
            AttemptRow.student_id == student_id, AttemptRow.struck_at.is_(None)
        )
    ).one()
    steady = sum(not each.weakest.assessment.flagged for each in manoeuvres)
    return Totals(rides, sessions, steady, len(manoeuvres))
