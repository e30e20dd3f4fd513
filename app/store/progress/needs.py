"""What a student is to practise next, as far as it matters where."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.diary.finding_facts import Need
from app.rules.progress.model import variant_of
from app.rules.progress.standing import Assessment, assess
from app.rules.riding.syllabus import ONLY
from app.rules.settings import SchoolSettings
from app.store.progress.picture import target_of
from app.store.progress.states import load_states, parameters
from app.store.riding.course import CourseVariant, load_course


def needs_of(
    session: Session, student_id: int, now: datetime, settings: SchoolSettings
) -> tuple[Need, ...]:
    """What is flagged of a student and asks something of a yard. Nine queries.

    That is whatever was ridden and is not steady, and the first manoeuvre of the syllabus
    that was never ridden: one new manoeuvre at a time.
    """
    course, fixed, rule = load_course(session), parameters(session), target_of(settings)
    state = load_states(session, [student_id], fixed)[student_id]
    at_school = now.astimezone(ZoneInfo(settings.time_zone))
    judged = [
        (one, assess(variant_of(state, one.id, fixed), state.general, rule, fixed, at_school))
        for one in course.variants
    ]
    return tuple(
        Need(one.name, one.variant.code, one.manoeuvre.speed_run)
        for one in _to_practise(judged)
        if one.manoeuvre.speed_run or one.variant.code != ONLY
    )


def _to_practise(judged: Sequence[tuple[CourseVariant, Assessment]]) -> list[CourseVariant]:
    new = [variant.manoeuvre.code for variant, assessment in judged if not assessment.rides]
    return [
        variant
        for variant, assessment in judged
        if (assessment.flagged if assessment.rides else variant.manoeuvre.code == new[0])
    ]
