"""Rides as people read them: one line each, drawn as a cone and said in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from app.rules.riding.cones import cone, fault_words, judged_words, ride_words
from app.rules.riding.marking import SpeedResult
from app.rules.riding.tablet_order import clock_words
from app.rules.riding.values import Cone, Outcome, SeenFault, Severity
from app.rules.words import date_words
from app.store.riding.course import Course
from app.store.riding.tables import AttemptFaultRow, AttemptRow


@dataclass(frozen=True, slots=True)
class RideLine:
    """One ride. ``words`` say its date and its cone; ``faults`` are its faults, worst first.

    ``said`` is what it comes to, without the shape of its cone, and ``judged`` what it
    came to in pieces, as if it had not been struck out. ``clock`` says that the tablet's
    clock was wrong, where it was.
    """

    attempt_id: UUID
    student_id: int
    session_id: int
    variant_id: int
    name: str
    ridden_at: datetime
    outcome: Outcome
    seen: tuple[SeenFault, ...]
    speed_result: SpeedResult
    speed_kmh: float | None
    second_try: bool
    struck_reason: str | None
    cone: Cone
    words: str
    said: str
    judged: tuple[str, ...]
    faults: tuple[str, ...]
    clock: str

    @property
    def counts(self) -> bool:
        """Whether it has not been struck out."""
        return self.struck_reason is None


def ride_lines(
    session: Session, query: Select[AttemptRow], course: Course, zone: ZoneInfo
) -> tuple[RideLine, ...]:
    """Rides in the order of the query, with their faults: two queries."""
    rows = session.scalars(query).all()
    faults = _faults_of(session, [row.id for row in rows], course)
    return tuple(_line(row, faults[row.id], course, zone) for row in rows)


def _faults_of(
    session: Session, rides: Sequence[UUID], course: Course
) -> defaultdict[UUID, list[SeenFault]]:
    found: defaultdict[UUID, list[SeenFault]] = defaultdict(list)
    query = (
        select(AttemptFaultRow)
        .where(AttemptFaultRow.attempt_id.in_(rides))
        .order_by(AttemptFaultRow.attempt_id, AttemptFaultRow.place)
    )
    for row in session.scalars(query):
        code = course.fault_codes[row.fault_kind_id]
        found[row.attempt_id].append(SeenFault(code, row.severity, row.side))
    return found


def _line(row: AttemptRow, seen: Iterable[SeenFault], course: Course, zone: ZoneInfo) -> RideLine:
    struck = row.struck_at is not None
    faults = sorted(seen, key=lambda fault: -list(Severity).index(fault.severity))
    speed = None if row.speed_kmh is None else float(row.speed_kmh)
    said = ride_words(
        row.outcome,
        faults,
        course.fault_names,
        struck_out=struck,
        speed=row.speed_result,
        speed_kmh=speed,
    )
    day = date_words(row.ridden_at.astimezone(zone).date())
    return RideLine(
        attempt_id=row.id,
        student_id=row.student_id,
        session_id=row.session_id,
        variant_id=row.variant_id,
        name=course.named(row.variant_id).name,
        ridden_at=row.ridden_at,
        outcome=row.outcome,
        seen=tuple(faults),
        speed_result=row.speed_result,
        speed_kmh=speed,
        second_try=row.second_try,
        struck_reason=row.struck_reason,
        cone=cone(row.outcome, struck),
        words=f"{day}, {said}",
        said=said.partition(": ")[2],
        judged=tuple(judged_words(row.outcome, faults, course.fault_names, row.speed_result)),
        faults=tuple(fault_words(fault, course.fault_names) for fault in faults),
        clock=clock_words(row.skew_seconds),
    )
