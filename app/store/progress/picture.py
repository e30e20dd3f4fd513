"""One student's standings at one moment, judged and said in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from app.rules.progress.model import variant_of
from app.rules.progress.parameters import Parameters
from app.rules.progress.standing import Assessment, assess
from app.rules.progress.state import LearnerState
from app.rules.progress.tallies import tallies
from app.rules.progress.target import TargetRule
from app.rules.progress.why import Because, why
from app.rules.progress.why_words import chance_words, moved, told_to_student
from app.rules.progress.words import STANDING_WORDS, for_instructor, for_student
from app.rules.settings import SchoolSettings
from app.store.progress.states import load_states, parameters
from app.store.progress.strips import STRIP, Rides, counted, recent_rides
from app.store.riding.course import Course, CourseVariant, load_course
from app.store.riding.rides import RideLine


@dataclass(frozen=True, slots=True)
class VariantProgress:
    """One variant: how it was judged, its last rides oldest first, and why.

    ``for_student`` and ``for_instructor`` are the reason; ``why`` opens the
    chance that the next ride is clean into its terms, the weightiest first, and
    is empty before the first ride.
    """

    id: int
    name: str
    assessment: Assessment
    cones: tuple[RideLine, ...]
    for_student: str
    for_instructor: str
    why: tuple[Because, ...]

    @property
    def standing(self) -> str:
        """The standing in words."""
        return STANDING_WORDS[self.assessment.standing]

    @property
    def why_for_student(self) -> tuple[str, ...]:
        """The terms for the student, without figures."""
        return told_to_student(self.why)

    @property
    def why_for_instructor(self) -> tuple[tuple[str, str], ...]:
        """Each term in words, and how far it moves the chance on its own."""
        return tuple(
            (cause.words[:1].upper() + cause.words[1:], moved(cause)) for cause in self.why
        )

    @property
    def chance(self) -> str:
        """The chance that the next ride is clean, for instructors."""
        return chance_words(self.assessment.chance)

    @property
    def rides(self) -> int:
        """How many rides of it say something."""
        return self.assessment.rides


@dataclass(frozen=True, slots=True)
class Picture:
    """All that the words about one student rest on."""

    course: Course
    state: LearnerState
    parameters: Parameters
    rule: TargetRule
    at_school: datetime
    recent: Mapping[int, Rides]

    def assessment(self, variant_id: int) -> Assessment:
        """The standing of one variant now."""
        state = variant_of(self.state, variant_id, self.parameters)
        return assess(state, self.state.general, self.rule, self.parameters, self.at_school)

    def variant(self, found: CourseVariant) -> VariantProgress:
        """One variant in words."""
        judged = self.assessment(found.id)
        rides = self.recent.get(found.id, ())
        faults = tallies(
            ((ride.speed_result, ride.seen) for ride in counted(rides)), self.course.fault_names
        )
        return VariantProgress(
            id=found.id,
            name=found.name,
            assessment=judged,
            cones=rides[-STRIP:],
            for_student=for_student(judged, faults),
            for_instructor=for_instructor(judged, faults),
            why=why(judged, self.parameters) if judged.rides else (),
        )


def load_picture(
    session: Session,
    student_id: int,
    now: datetime,
    settings: SchoolSettings,
    variant_id: int | None = None,
) -> Picture:
    """Read what is known of a student, the rides of one variant alone if asked. Eleven queries."""
    zone = ZoneInfo(settings.time_zone)
    course, fixed = load_course(session), parameters(session)
    return Picture(
        course=course,
        state=load_states(session, [student_id], fixed)[student_id],
        parameters=fixed,
        rule=target_of(settings),
        at_school=now.astimezone(zone),
        recent=recent_rides(session, student_id, course, zone, variant_id),
    )


def target_of(settings: SchoolSettings) -> TargetRule:
    """The owner's four numbers."""
    return TargetRule(
        clean_in_a_row=settings.clean_in_a_row,
        over_sessions=settings.over_sessions,
        within_days=settings.within_days,
        chance=settings.chance,
    )
