"""The school's own figures of the manoeuvres: found in its rides, judged, and kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import Select, delete, func, select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.progress.estimate import Change, Estimate, changes, estimate
from app.rules.progress.evidence import Evidence
from app.rules.progress.figure_words import first_clean_in_hundred, later_clean_in_hundred
from app.rules.progress.parameters import Parameters
from app.rules.progress.school_figures import (
    HeldOut,
    Shift,
    held_out,
    refuse_too_few,
    riders_of,
    shift,
)
from app.rules.progress.sequences import attempts_of_rides
from app.store import audit, settings
from app.store.database import Database, Lock
from app.store.progress.kept import parts_of_test
from app.store.progress.picture import target_of
from app.store.progress.states import parameters, rides_by_student, shipped
from app.store.progress.tables import LearnerRow, SchoolFigureRow
from app.store.progress.writes import rebuild_in
from app.store.riding.course import load_course

LATEST = 1000
"""The figures rest on the students who rode last, so many at most: how the school teaches now, and
a night is long enough for it."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What the school's rides say, and what would change by it.

    ``held_out`` and ``shift`` are None where nothing would. ``riders`` are the students
    behind each variant's figures, ``names`` the variants' names.
    """

    students: int
    rides: int
    before: Parameters
    found: Estimate
    riders: Mapping[int, int]
    names: Mapping[int, str]
    changes: tuple[Change, ...]
    held_out: HeldOut | None
    shift: Shift | None

    @property
    def worth_keeping(self) -> bool:
        """Whether something changes, and the new figures predict at least as well."""
        return self.held_out is not None and self.held_out.worth_keeping


def find_figures(
    session: Session, now: datetime, tick: Callable[[], None] = lambda: None
) -> Finding:
    """Estimate the school's figures from its rides, and try them on students left out.

    Eight queries. Refused with too few students or rides. ``tick`` is called once for
    each part of the students left out.
    """
    before, start = parameters(session), shipped(session)
    rides = rides_by_student(session, _latest())
    students = [attempts_of_rides(ridden) for ridden in rides.values()]
    refuse_too_few(students)
    found = estimate(students, start)
    changed = changes(before, found)
    tried = held_out(students, start, _estimated_at(session), tick) if changed else None
    return Finding(
        students=len(students),
        rides=sum(map(len, students)),
        before=before,
        found=found,
        riders=riders_of(students),
        names=_names(session),
        changes=changed,
        held_out=tried,
        shift=_shift(session, rides, before, found.parameters, now) if changed else None,
    )


def _names(session: Session) -> dict[int, str]:
    course = load_course(session)
    taught = {each.id: each.name for each in course.variants}
    return taught | {id_: each.name for id_, each in course.retired_variants.items()}


def _latest() -> Select[int]:
    return (
        select(LearnerRow.student_id)
        .where(LearnerRow.last_ridden_at.is_not(None))
        .order_by(LearnerRow.last_ridden_at.desc(), LearnerRow.student_id)
        .limit(LATEST)
    )


def _estimated_at(session: Session) -> datetime | None:
    return session.scalars(select(func.max(SchoolFigureRow.estimated_at))).one()


def _shift(
    session: Session,
    rides: Mapping[int, list[Evidence]],
    before: Parameters,
    after: Parameters,
    now: datetime,
) -> Shift:
    chosen = settings.load(session)
    taught = frozenset(each for _, variants in parts_of_test(session) for each in variants)
    at_school = now.astimezone(ZoneInfo(chosen.time_zone))
    return shift(rides, (before, after), taught, target_of(chosen), at_school)


def keep_figures(db: Database, by: Actor, finding: Finding, now: datetime) -> int:
    """Keep what was found and work every student out again by it; how many there are.

    All in one transaction, so that no standing is ever of other figures than the rest.
    """
    with db.writing(Lock.RIDES) as session:
        session.execute(delete(SchoolFigureRow))
        session.add_all(_rows(finding, now))
        session.flush()
        audit.record(session, by, now, "estimated", "school_figures", "all", **_told(finding))
        return rebuild_in(session)


def _rows(finding: Finding, now: datetime) -> list[SchoolFigureRow]:
    skills = finding.found.parameters.skills
    return [
        SchoolFigureRow(
            variant_id=variant,
            ease=skills[variant].ease,
            practice=skills[variant].practice,
            rides=rides,
            students=finding.riders[variant],
            estimated_at=now,
        )
        for variant, rides in sorted(finding.found.attempts.items())
    ]


def _told(finding: Finding) -> dict[str, object]:
    told: dict[str, object] = {
        "students": finding.students,
        "rides": finding.rides,
        "variants": len(finding.changes),
    }
    if finding.held_out and finding.shift:
        told["log_loss"] = [round(finding.held_out.before, 4), round(finding.held_out.after, 4)]
        told["standings_changed"] = finding.shift.changed
        told["flags"] = [finding.shift.flags_before, finding.shift.flags_after]
    return told


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """How hard one variant is, of 100 average beginners: clean the first time and later.

    ``shipped`` is the first figure as it was shipped. ``rides`` and ``students`` are what
    the school's own figures rest on; None where the shipped ones stand.
    """

    name: str
    first: int
    later: int
    shipped: int
    rides: int | None
    students: int | None


@dataclass(frozen=True, slots=True)
class ShownFigures:
    """The figures in force in the order of the course, and when they were estimated, if ever."""

    figures: tuple[ShownFigure, ...]
    estimated_at: datetime | None


def shown_figures(session: Session) -> ShownFigures:
    """What stands behind how hard each manoeuvre is. Nine queries."""
    own = {row.variant_id: row for row in session.scalars(select(SchoolFigureRow))}
    now, start = parameters(session), shipped(session)
    return ShownFigures(
        tuple(
            ShownFigure(
                name=each.name,
                first=first_clean_in_hundred(now.skill(each.id), now),
                later=later_clean_in_hundred(now.skill(each.id), now),
                shipped=first_clean_in_hundred(start.skill(each.id), start),
                rides=own[each.id].rides if each.id in own else None,
                students=own[each.id].students if each.id in own else None,
            )
            for each in load_course(session).variants
        ),
        max((row.estimated_at for row in own.values()), default=None),
    )
