"""Every ride behind a flag, with all that is known of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from app.rules.diary.words import conditions
from app.rules.riding.syllabus import Manoeuvre
from app.rules.settings import SchoolSettings
from app.store.accounts.tables import AccountRow
from app.store.diary.tables import SessionRow
from app.store.people.reads import student_row
from app.store.progress.paging import Leaf, leaf
from app.store.progress.picture import VariantProgress, load_picture
from app.store.riding.course import Course
from app.store.riding.rides import RideLine, ride_lines
from app.store.riding.tables import AttemptRow
from app.store.yards.tables import BikeRow, YardRow

PAGE = 50


@dataclass(frozen=True, slots=True)
class RideRecord:
    """One ride. ``struck_by`` is None unless a person struck it out."""

    line: RideLine
    struck_by: str | None


@dataclass(frozen=True, slots=True)
class Occasion:
    """Rides of one session on one bike, recorded by one person, newest first.

    ``conditions`` is empty where nobody wrote them down; ``bike`` is None for
    the student's own; ``recorded_by`` is None where no person is known.
    """

    session_id: int
    session_at: datetime
    yard: str
    conditions: str
    bike: str | None
    recorded_by: str | None
    rides: tuple[RideRecord, ...]


@dataclass(frozen=True, slots=True)
class Rides:
    """One page of the rides of a variant, newest first, with the standing they lead to."""

    student_id: int
    student: str
    about: Manoeuvre
    variant: VariantProgress
    retired: bool
    occasions: tuple[Occasion, ...]
    leaf: Leaf


def rides_of(
    session: Session,
    student_id: int,
    variant_id: int,
    now: datetime,
    settings: SchoolSettings,
    page: int = 1,
) -> Rides:
    """The rides of one variant, struck out ones too. Fifteen queries.

    Raises Missing for a student or a variant that is not there.
    """
    student = student_row(session, student_id)
    picture = load_picture(session, student_id, now, settings, variant_id)
    found = picture.course.named(variant_id)
    where = leaf(_count(session, student_id, variant_id), page, PAGE)
    lines = _lines(session, student_id, variant_id, picture.course, settings, where)
    return Rides(
        student_id=student.id,
        student=student.name,
        about=found.manoeuvre,
        variant=picture.variant(found),
        retired=variant_id in picture.course.retired_variants,
        occasions=_occasions(session, lines),
        leaf=where,
    )


def _of(student_id: int, variant_id: int) -> tuple[Any, Any]:
    return AttemptRow.student_id == student_id, AttemptRow.variant_id == variant_id


def _count(session: Session, student_id: int, variant_id: int) -> int:
    query = select(func.count()).select_from(AttemptRow).where(*_of(student_id, variant_id))
    return session.scalars(query).one()


def _lines(
    session: Session,
    student_id: int,
    variant_id: int,
    course: Course,
    settings: SchoolSettings,
    where: Leaf,
) -> tuple[RideLine, ...]:
    query = (
        select(AttemptRow)
        .where(*_of(student_id, variant_id))
        .order_by(AttemptRow.ridden_at.desc(), AttemptRow.id.desc())
        .limit(where.size)
        .offset(where.offset)
    )
    return ride_lines(session, query, course, ZoneInfo(settings.time_zone))


def _occasions(session: Session, lines: Sequence[RideLine]) -> tuple[Occasion, ...]:
    around = _around(session, [line.attempt_id for line in lines])
    together = groupby(lines, key=lambda line: _together(around[line.attempt_id]))
    return tuple(_occasion(list(found), around) for _, found in together)


def _together(row: Any) -> tuple[Any, ...]:
    return row.session_id, row.bike, row.recorder


def _around(session: Session, rides: Sequence[UUID]) -> dict[UUID, Any]:
    recorder, striker = aliased(AccountRow), aliased(AccountRow)
    found = session.execute(
        select(AttemptRow.id, AttemptRow.session_id)
        .add_columns(SessionRow.starts_at, SessionRow.surface, SessionRow.windy)
        .add_columns(SessionRow.surface_remark)
        .add_columns(YardRow.name.label("yard"), BikeRow.label.label("bike"))
        .add_columns(recorder.name.label("recorder"), striker.name.label("striker"))
        .join(SessionRow, AttemptRow.session_id == SessionRow.id)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .outerjoin(BikeRow, AttemptRow.bike_id == BikeRow.id)
        .outerjoin(recorder, AttemptRow.recorded_by == recorder.id)
        .outerjoin(striker, AttemptRow.struck_by == striker.id)
        .where(AttemptRow.id.in_(rides))
    )
    return {row.id: row for row in found}


def _occasion(lines: Sequence[RideLine], around: dict[UUID, Any]) -> Occasion:
    row = around[lines[0].attempt_id]
    return Occasion(
        session_id=row.session_id,
        session_at=row.starts_at,
        yard=row.yard,
        conditions=conditions(row.surface, row.windy, row.surface_remark),
        bike=row.bike,
        recorded_by=row.recorder,
        rides=tuple(RideRecord(o, around[o.attempt_id].striker) for o in lines),
    )
