"""What a board needs to go on without a network: every rider's strips, every manoeuvre's faults."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from zoneinfo import ZoneInfo

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.rules.riding.syllabus import Offer
from app.store.riding.board import STRIP
from app.store.riding.course import Course
from app.store.riding.rides import RideLine, ride_lines
from app.store.riding.tables import (
    AttemptFaultRow,
    AttemptRow,
    FaultKindRow,
    ManoeuvreRow,
    VariantRow,
)

Strips = Mapping[tuple[int, int], list[RideLine]]
"""The last rides by student and variant, oldest first."""


def strips_of(
    session: Session, students: Collection[int], course: Course, zone: ZoneInfo
) -> Strips:
    """The last rides of each variant for each of the students: two queries."""
    newest_first = (AttemptRow.ridden_at.desc(), AttemptRow.id.desc())
    place = (
        func.row_number()
        .over(partition_by=(AttemptRow.student_id, AttemptRow.variant_id), order_by=newest_first)
        .label("place")
    )
    ranked = select(AttemptRow.id, place).where(AttemptRow.student_id.in_(students)).subquery()
    query = (
        select(AttemptRow)
        .join(ranked, ranked.c.id == AttemptRow.id)
        .where(ranked.c.place <= STRIP)
        .order_by(AttemptRow.ridden_at, AttemptRow.id)
    )
    found: defaultdict[tuple[int, int], list[RideLine]] = defaultdict(list)
    for ride in ride_lines(session, query, course, zone):
        found[ride.student_id, ride.variant_id].append(ride)
    return found


def all_offers(session: Session, course: Course) -> Mapping[str, tuple[Offer, ...]]:
    """The faults of every manoeuvre, those this school records most first: one query."""
    used = _times_used(session)

    def place(manoeuvre: str, offer: Offer) -> tuple[bool, int, int]:
        return offer.is_remark, -used.get((manoeuvre, offer.kind.code), 0), offer.kind.place

    return {
        each.code: tuple(
            sorted(course.syllabus.offers(each.code), key=lambda o: place(each.code, o))
        )
        for each in course.syllabus.manoeuvres
    }


def _times_used(session: Session) -> dict[tuple[str, str], int]:
    query = (
        select(ManoeuvreRow.code, FaultKindRow.code, func.count())
        .select_from(AttemptFaultRow)
        .join(FaultKindRow, AttemptFaultRow.fault_kind_id == FaultKindRow.id)
        .join(AttemptRow, AttemptFaultRow.attempt_id == AttemptRow.id)
        .join(VariantRow, AttemptRow.variant_id == VariantRow.id)
        .join(ManoeuvreRow, VariantRow.manoeuvre_id == ManoeuvreRow.id)
        .where(AttemptRow.struck_at.is_(None))
        .group_by(ManoeuvreRow.code, FaultKindRow.code)
    )
    return {(manoeuvre, kind): uses for manoeuvre, kind, uses in session.execute(query)}
