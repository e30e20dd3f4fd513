"""The sessions that a student has ridden in, newest first, with what the rides came to."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from app.rules.diary.words import KINDS, conditions
from app.rules.refusal import Missing
from app.rules.riding.cones import cone
from app.rules.riding.values import Cone
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import InstructorRow, StudentRow
from app.store.riding.tables import AttemptRow
from app.store.yards.tables import YardRow

SHOWN = 6
"""How many sessions stand on the student's page."""
PAGE = 20
"""How many sessions stand on a page of the history."""
LAST_PAGE = 10_000


@dataclass(frozen=True, slots=True)
class SessionFacts:
    """A session as it is said beside its rides; ``conditions`` may be empty."""

    id: int
    starts_at: datetime
    kind: str
    yard: str
    instructor: str
    conditions: str


@dataclass(frozen=True, slots=True)
class SessionTally:
    """One session and how often each cone was seen in it; ``rides`` includes those struck out."""

    session: SessionFacts
    cones: tuple[tuple[Cone, int], ...]
    rides: int


@dataclass(frozen=True, slots=True)
class History:
    """Sessions, newest first, and whether there are earlier ones."""

    sessions: tuple[SessionTally, ...]
    earlier: bool


@dataclass(frozen=True, slots=True)
class StudentHistory:
    """A page of one student's history."""

    student_id: int
    name: str
    page: int
    history: History


def student_history(session: Session, student_id: int, page: int) -> StudentHistory:
    """One page of a student's sessions, counted from 1. Three queries. Raises Missing."""
    name = student_name(session, student_id)
    page = min(max(page, 1), LAST_PAGE)
    found = history(session, student_id, PAGE, (page - 1) * PAGE)
    return StudentHistory(student_id, name, page, found)


def student_name(session: Session, student_id: int) -> str:
    """What a student is called. Raises Missing."""
    name = session.scalar(select(StudentRow.name).where(StudentRow.id == student_id))
    if name is None:
        raise Missing(f"student {student_id}")
    return name


def history(session: Session, student_id: int, count: int, skip: int = 0) -> History:
    """The last sessions in which the student rode. Two queries."""
    query = (
        _sessions()
        .where(SessionRow.id.in_(_ridden_in(student_id)))
        .order_by(SessionRow.starts_at.desc(), SessionRow.id.desc())
        .offset(skip)
        .limit(count + 1)
    )
    found = [_facts(*row) for row in session.execute(query)]
    counts = _counts(session, student_id, [each.id for each in found[:count]])
    sessions = tuple(_tally(each, counts[each.id]) for each in found[:count])
    return History(sessions, len(found) > count)


def facts_of(session: Session, sessions: Iterable[int]) -> Mapping[int, SessionFacts]:
    """Sessions by id. One query."""
    query = _sessions().where(SessionRow.id.in_(list(sessions)))
    found = [_facts(*row) for row in session.execute(query)]
    return {each.id: each for each in found}


def session_with(session: Session, session_id: int, student_id: int) -> SessionFacts:
    """A session that the student rode in or was booked into. One query. Raises Missing."""
    booked = select(BookingRow.session_id).where(BookingRow.student_id == student_id)
    query = _sessions().where(SessionRow.id == session_id)
    query = query.where(SessionRow.id.in_(_ridden_in(student_id)) | SessionRow.id.in_(booked))
    found = session.execute(query).first()
    if found is None:
        raise Missing(f"session {session_id} with student {student_id}")
    return _facts(*found)


def _ridden_in(student_id: int) -> Select[int]:
    return select(AttemptRow.session_id).where(AttemptRow.student_id == student_id)


def _sessions() -> Select[SessionRow, str, str]:
    return (
        select(SessionRow, YardRow.name, InstructorRow.name)
        .join(YardRow, SessionRow.yard_id == YardRow.id)
        .join(InstructorRow, SessionRow.instructor_id == InstructorRow.id)
    )


def _facts(row: SessionRow, yard: str, instructor: str) -> SessionFacts:
    was = conditions(row.surface, row.windy)
    return SessionFacts(row.id, row.starts_at, KINDS[row.kind], yard, instructor, was)


def _counts(
    session: Session, student_id: int, sessions: Sequence[int]
) -> defaultdict[int, Counter[Cone]]:
    struck = AttemptRow.struck_at.is_not(None)
    query = (
        select(AttemptRow.session_id, AttemptRow.outcome, struck, func.count())
        .where(AttemptRow.student_id == student_id, AttemptRow.session_id.in_(sessions))
        .group_by(AttemptRow.session_id, AttemptRow.outcome, struck)
    )
    found: defaultdict[int, Counter[Cone]] = defaultdict(Counter)
    for training, outcome, struck_out, count in session.execute(query):
        found[training][cone(outcome, bool(struck_out))] += count
    return found


def _tally(facts: SessionFacts, counts: Counter[Cone]) -> SessionTally:
    cones = tuple((shape, counts[shape]) for shape in Cone if counts[shape])
    return SessionTally(facts, cones, counts.total())
