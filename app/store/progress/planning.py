"""What a practice plan is drawn up from: the ground, and the riders as they are today."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from app.rules.diary.values import Surface
from app.rules.progress.model import days_between, variant_of
from app.rules.progress.plan_riders import TEST_IN_DAYS, Brought, trainee
from app.rules.progress.plan_riders import Course as TestCourse
from app.rules.progress.plan_values import Ground, Option, Trainee, allowed
from app.rules.progress.prospects import School, splits
from app.rules.progress.standing import standing_of
from app.rules.progress.state import LearnerState
from app.rules.progress.target import Standing
from app.rules.refusal import Missing
from app.rules.settings import SchoolSettings
from app.store.diary.lines import held
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from app.store.progress.kept import own_faults
from app.store.progress.picture import target_of
from app.store.progress.ready import tests_of
from app.store.progress.results import school_now
from app.store.progress.states import load_states
from app.store.riding.course import Course, load_course
from app.store.riding.recording import yard_facts
from app.store.riding.tables import ManoeuvreRow, VariantRow
from app.store.yards.tables import YardRow

USUAL_MINUTES = 60.0


@dataclass(frozen=True, slots=True)
class Bench:
    """All that a plan needs, with the names of what is in it.

    ``session_at`` is None for a plan of one student outside a session. ``cautions``
    are those of the manoeuvres by variant.
    """

    yard: str
    session_at: datetime | None
    ground: Ground
    trainees: tuple[Trainee, ...]
    riders: Mapping[int, str]
    variants: Mapping[int, str]
    manoeuvres: Mapping[int, str]
    cautions: Mapping[int, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class _Place:
    """Where it is ridden: the yard, whether it is wet, and when, for a session."""

    yard: YardRow
    wet: bool = False
    session_at: datetime | None = None


def session_bench(
    session: Session, session_id: int, now: datetime, settings: SchoolSettings
) -> Bench:
    """The riders of a session in its yard, for as long as it takes. A fixed number of queries.

    Raises Missing for a session that is not there or was cancelled.
    """
    row = session.get(SessionRow, session_id)
    if row is None or row.cancelled_at is not None:
        raise Missing(f"session {session_id}")
    booked = select(BookingRow.student_id).where(BookingRow.session_id == session_id, held())
    riders = _named(session, StudentRow.id.in_(booked))
    yard = session.get_one(YardRow, row.yard_id)
    minutes = (row.ends_at - row.starts_at).total_seconds() / 60.0
    place = _Place(yard, row.surface is Surface.WET, row.starts_at)
    return _bench(session, riders, place, minutes, now, settings)


def student_bench(
    session: Session, student_id: int, minutes: float, now: datetime, settings: SchoolSettings
) -> Bench:
    """One student in the yard of their next session, or else in the first open one.

    On a surface as wet as it was last said to be for that session. A fixed number of
    queries. Raises Missing where there is no such student, or no yard.
    """
    riders = _named(session, (StudentRow.id == student_id) & StudentRow.merged_into_id.is_(None))
    place = _place_of(session, student_id, now)
    if not riders or place is None:
        raise Missing(f"student {student_id}")
    return _bench(session, riders, place, minutes, now, settings)


def _named(session: Session, where: ColumnElement[bool]) -> dict[int, str]:
    query = select(StudentRow.id, StudentRow.name).where(where)
    return {row.id: row.name for row in session.execute(query.order_by(StudentRow.name))}


def _place_of(session: Session, student_id: int, now: datetime) -> _Place | None:
    coming = (
        select(YardRow, SessionRow.surface)
        .join(SessionRow, SessionRow.yard_id == YardRow.id)
        .join(BookingRow, BookingRow.session_id == SessionRow.id)
        .where(BookingRow.student_id == student_id, held())
        .where(SessionRow.cancelled_at.is_(None), SessionRow.ends_at > now)
        .order_by(SessionRow.starts_at)
    )
    found = session.execute(coming.limit(1)).first()
    if found is not None:
        return _Place(found.YardRow, found.surface is Surface.WET)
    usual = select(YardRow).where(YardRow.open).order_by(YardRow.id)
    yard = session.scalars(usual.limit(1)).first()
    return None if yard is None else _Place(yard)


def _bench(
    session: Session,
    riders: Mapping[int, str],
    place: _Place,
    minutes: float,
    now: datetime,
    settings: SchoolSettings,
) -> Bench:
    course, school = load_course(session), school_now(session)
    ids = _manoeuvre_ids(session)
    options = [
        Option(
            variant_id=each.id,
            manoeuvre_id=ids[each.id],
            code=each.variant.code,
            place=each.manoeuvre.place,
            minutes=each.manoeuvre.minutes,
            speed_run=each.manoeuvre.speed_run,
        )
        for each in course.variants
    ]
    names = {ids[each.id]: each.manoeuvre.name for each in course.variants}
    return Bench(
        yard=place.yard.name,
        session_at=place.session_at,
        ground=Ground(minutes, allowed(options, yard_facts(place.yard)), wet=place.wet),
        trainees=_trainees(session, riders, school, now, settings),
        riders=riders,
        variants={each.id: each.name for each in course.variants},
        manoeuvres=names,
        cautions=_cautions(course),
    )


def _cautions(course: Course) -> dict[int, tuple[str, ...]]:
    return {each.id: each.manoeuvre.cautions for each in course.variants}


def _manoeuvre_ids(session: Session) -> dict[int, int]:
    query = select(VariantRow.id, VariantRow.manoeuvre_id).join(
        ManoeuvreRow, VariantRow.manoeuvre_id == ManoeuvreRow.id
    )
    return {row.id: row.manoeuvre_id for row in session.execute(query)}


def _trainees(
    session: Session,
    riders: Iterable[int],
    school: School,
    now: datetime,
    settings: SchoolSettings,
) -> tuple[Trainee, ...]:
    ids = list(riders)
    states, own = load_states(session, ids, school.parameters), own_faults(session, ids)
    tests, course = tests_of(session, ids, now), TestCourse(school.parts)
    found = []
    for id_ in ids:
        brought = Brought(
            rider_id=id_,
            state=states[id_],
            splits=splits(school.parts, school.faults, own.get(id_, {})),
            standings=_standings(states[id_], school, now, settings),
            days_to_test=days_between(now, tests[id_]) if id_ in tests else TEST_IN_DAYS,
        )
        found.append(trainee(brought, course, school.parameters, now, school.results))
    return tuple(found)


def _standings(
    state: LearnerState, school: School, now: datetime, settings: SchoolSettings
) -> dict[int, Standing]:
    rule, at_school = target_of(settings), now.astimezone(ZoneInfo(settings.time_zone))
    found = {}
    for variant in (each for _, variants in school.parts for each in variants):
        known = variant_of(state, variant, school.parameters)
        found[variant] = standing_of(known, state.general, rule, school.parameters, at_school)
    return found
