"""The last rides of every variant that a student has ridden."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Select, and_, case, func, or_, select
from sqlalchemy.orm import Session, aliased

from app.rules.progress.standing import RECENT
from app.rules.riding.marking import counts_as_evidence
from app.rules.riding.values import Outcome
from app.store.progress.tables import StandingRow
from app.store.riding.course import Course
from app.store.riding.rides import RideLine, ride_lines
from app.store.riding.tables import AttemptRow

STRIP = 12
"""How many rides a cone strip shows."""

SHORT_STRIP = 6
"""How many in a list of many students."""

LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)
"""Before any ride."""

Rides = tuple[RideLine, ...]


def counted(rides: Rides) -> Rides:
    """The last rides that a reason speaks of, oldest first."""
    return tuple(ride for ride in rides if _counts(ride))[-RECENT:]


def _counts(ride: RideLine) -> bool:
    return counts_as_evidence(ride.outcome, ride.struck_reason is not None)


def recent_rides(
    session: Session,
    student_id: int,
    course: Course,
    zone: ZoneInfo,
    variant_id: int | None = None,
) -> dict[int, Rides]:
    """The rides of each variant that a strip or a reason needs, oldest first: two queries.

    Those are the last STRIP, and the last RECENT that count where they lie further back.
    """
    found: defaultdict[int, list[RideLine]] = defaultdict(list)
    query = _query(student_id, variant_id)
    for ride in ride_lines(session, query, course, zone):
        found[ride.variant_id].append(ride)
    return {variant: tuple(rides) for variant, rides in found.items()}


def short_strips(
    session: Session, students: Iterable[int], course: Course, zone: ZoneInfo
) -> dict[int, dict[int, Rides]]:
    """The last SHORT_STRIP rides by student and variant, oldest first, where any ride counts.

    Two queries, which read no more of a long history than of a short one.
    """
    found: defaultdict[tuple[int, int], list[RideLine]] = defaultdict(list)
    for ride in ride_lines(session, _newest(list(students)), course, zone):
        found[ride.student_id, ride.variant_id].append(ride)
    strips: defaultdict[int, dict[int, Rides]] = defaultdict(dict)
    for (student, variant), rides in found.items():
        # A ride of the same instant as the first in the strip comes along.
        strips[student][variant] = tuple(rides[-SHORT_STRIP:])
    return dict(strips)


def _newest(students: list[int]) -> Select[AttemptRow]:
    """The newest rides of each standing: from the moment of the last that is wanted.

    Asked for by a moment rather than by a number, so that the index over student,
    variant and moment is entered where the strip begins.
    """
    # Unless told not to, PostgreSQL looks for the beginning again at each ride of the student.
    begin = _beginnings(students).cte("begin").prefix_with("MATERIALIZED", dialect="postgresql")
    wanted = and_(
        AttemptRow.student_id == begin.c.student_id,
        AttemptRow.variant_id == begin.c.variant_id,
        AttemptRow.ridden_at >= begin.c.at,
    )
    return select(AttemptRow).join(begin, wanted).order_by(AttemptRow.ridden_at, AttemptRow.id)


def _beginnings(students: list[int]) -> Select[int, int, datetime]:
    one = aliased(AttemptRow)
    last_wanted = (
        select(one.ridden_at)
        .where(one.student_id == StandingRow.student_id, one.variant_id == StandingRow.variant_id)
        .order_by(one.ridden_at.desc())
        .limit(1)
        .offset(SHORT_STRIP - 1)
        .scalar_subquery()
    )
    return select(
        StandingRow.student_id,
        StandingRow.variant_id,
        func.coalesce(last_wanted, LONG_AGO).label("at"),
    ).where(StandingRow.student_id.in_(students))


def _query(student_id: int, variant_id: int | None) -> Select[AttemptRow]:
    numbered = _numbered(student_id, variant_id).subquery()
    wanted = or_(
        numbered.c.nth <= STRIP, and_(numbered.c.counts == 1, numbered.c.nth_that_counts <= RECENT)
    )
    return (
        select(AttemptRow)
        .join(numbered, AttemptRow.id == numbered.c.id)
        .where(wanted)
        .order_by(AttemptRow.ridden_at, AttemptRow.id)
    )


def _numbered(student_id: int, variant_id: int | None) -> Select[Any]:
    """Each ride's number within its variant from the newest, among all and among those that
    count."""
    measured = AttemptRow.outcome != Outcome.UNMEASURED
    counts = case((and_(AttemptRow.struck_at.is_(None), measured), 1), else_=0)
    newest = (AttemptRow.ridden_at.desc(), AttemptRow.id.desc())
    among_all = func.row_number().over(partition_by=AttemptRow.variant_id, order_by=newest)
    among_counted = func.row_number().over(
        partition_by=(AttemptRow.variant_id, counts), order_by=newest
    )
    query = select(
        AttemptRow.id,
        counts.label("counts"),
        among_all.label("nth"),
        among_counted.label("nth_that_counts"),
    ).where(AttemptRow.student_id == student_id)
    return query if variant_id is None else query.where(AttemptRow.variant_id == variant_id)
