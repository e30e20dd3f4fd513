"""All flags: what is not yet clean and consistent, for a session, for the week, for the school."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from app.rules.progress.model import variant_of
from app.rules.progress.parameters import Parameters
from app.rules.progress.standing import assess
from app.rules.progress.state import LearnerState
from app.rules.progress.target import Standing, TargetRule
from app.rules.progress.words import STANDING_WORDS, for_instructor
from app.rules.settings import SchoolSettings
from app.store.people.tables import StudentRow
from app.store.progress.flag_scan import students_at
from app.store.progress.flag_students import Coming, Wanted, coming_of, students
from app.store.progress.paging import Leaf, leaf
from app.store.progress.picture import target_of
from app.store.progress.states import load_states, parameters
from app.store.progress.strips import Rides, short_strips
from app.store.riding.course import Course, CourseVariant, load_course

PAGE = 25


@dataclass(frozen=True, slots=True)
class Flag:
    """One variant of one student that is not steady, its last rides, and why."""

    variant_id: int
    name: str
    standing: str
    why: str
    cones: Rides


@dataclass(frozen=True, slots=True)
class FlaggedStudent:
    """One student with what is flagged; ``new`` are the names of what was not ridden yet."""

    id: int
    name: str
    coming: Coming | None
    flags: tuple[Flag, ...]
    new: tuple[str, ...]

    @property
    def alike(self) -> tuple[tuple[Flag, ...], ...]:
        """The flags, those of the same standing for the same reason together."""
        together: dict[tuple[str, str], tuple[Flag, ...]] = {}
        for flag in self.flags:
            key = flag.standing, flag.why
            together[key] = (*together.get(key, ()), flag)
        return tuple(together.values())


@dataclass(frozen=True, slots=True)
class Flags:
    """One page of students by name. ``manoeuvres`` are the codes and names to choose from."""

    students: tuple[FlaggedStudent, ...]
    leaf: Leaf
    manoeuvres: tuple[tuple[str, str], ...]


def flag_page(
    session: Session, wanted: Wanted, now: datetime, settings: SchoolSettings, page: int = 1
) -> Flags:
    """One page of the list of flags: a fixed number of queries however many students there are.

    A manoeuvre that does not exist finds nothing.
    """
    zone = ZoneInfo(settings.time_zone)
    course, fixed, rule = load_course(session), parameters(session), target_of(settings)
    variants = [each for each in course.variants if wanted.manoeuvre in (None, each.manoeuvre.code)]
    look = _Look(rule, fixed, now.astimezone(zone), zone, variants, wanted.standing)
    where, rows = _rows(session, students(wanted, now, zone), look, page)
    return Flags(
        students=_flagged(session, rows, look, course),
        leaf=where,
        manoeuvres=tuple({v.manoeuvre.code: v.manoeuvre.name for v in course.variants}.items()),
    )


@dataclass(frozen=True, slots=True)
class _Look:
    """How the students of one page are judged."""

    rule: TargetRule
    parameters: Parameters
    now: datetime
    zone: ZoneInfo
    variants: Sequence[CourseVariant]
    standing: Standing | None

    def of(
        self, state: LearnerState, strips: Mapping[int, Rides]
    ) -> tuple[tuple[Flag, ...], tuple[str, ...]]:
        """What is flagged, and what is new. ``strips`` are the student's rides by variant."""
        flags, new = [], []
        for variant in self.variants:
            standing, flag = self._one(state, variant, strips.get(variant.id, ()))
            if standing is Standing.STEADY or self.standing not in (None, standing):
                continue
            if standing is Standing.NOT_RIDDEN:
                new.append(variant.name)
            else:
                flags.append(flag)
        return tuple(flags), tuple(new)

    def _one(
        self, state: LearnerState, variant: CourseVariant, cones: Rides
    ) -> tuple[Standing, Flag]:
        known = variant_of(state, variant.id, self.parameters)
        judged = assess(known, state.general, self.rule, self.parameters, self.now)
        words = STANDING_WORDS[judged.standing]
        why = for_instructor(judged)
        return judged.standing, Flag(variant.id, variant.name, words, why, cones)


def _rows(
    session: Session, among: Select[int], look: _Look, page: int
) -> tuple[Leaf, Sequence[tuple[int, str]]]:
    """One page of the students by id and name: two queries, or three with a standing."""
    named = (
        select(StudentRow.id, StudentRow.name)
        .where(StudentRow.id.in_(among))
        .order_by(StudentRow.name, StudentRow.id)
    )
    if look.standing is None:
        count = select(func.count()).select_from(among.subquery())
        where = leaf(session.scalars(count).one(), page, PAGE)
        found = session.execute(named.limit(where.size).offset(where.offset))
        return where, [(row.id, row.name) for row in found]
    ids = [each.id for each in look.variants]
    chosen = students_at(session, among, look.standing, ids, look.rule, look.parameters, look.now)
    rows = [(row.id, row.name) for row in session.execute(named) if row.id in chosen]
    where = leaf(len(rows), page, PAGE)
    return where, rows[where.offset : where.offset + where.size]


def _flagged(
    session: Session, rows: Iterable[tuple[int, str]], look: _Look, course: Course
) -> tuple[FlaggedStudent, ...]:
    names: Mapping[int, str] = dict(rows)
    states = load_states(session, names, look.parameters)
    coming = coming_of(session, names, look.now)
    strips = short_strips(session, names, course, look.zone)
    return tuple(
        FlaggedStudent(id_, name, coming.get(id_), *look.of(states[id_], strips.get(id_, {})))
        for id_, name in names.items()
    )
