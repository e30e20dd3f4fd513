"""Rides in and rides struck out, with the standings that follow from them in one transaction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.progress.evidence import Evidence
from app.rules.riding.recording import NewRide, RideAnswer, Word
from app.store.database import Database, Lock
from app.store.people.tables import StudentRow
from app.store.progress.results import settle
from app.store.progress.states import evidence_of, parameters, rebuild_one, take_in
from app.store.riding.recording import RideBook, strike
from app.store.riding.tables import AttemptRow

TAKEN_BACK = "Taken back at once"
"""The reason that an undo leaves."""


def record_rides(
    db: Database, by: Actor, rides: Sequence[NewRide], now: datetime
) -> tuple[RideAnswer, ...]:
    """Keep a batch of rides in one transaction; an answer for each, in the order given.

    A ride that is there already changes nothing. One that cannot be kept is
    refused with its reason and does not keep the others out.
    """
    # The first ride marks the booking as attended, while the desk may be cancelling it.
    with db.writing(Lock.DIARY, Lock.RIDES) as session:
        book = RideBook(session, by, now)
        answers = tuple(book.keep(ride) for ride in rides)
        saved = {answer.attempt_id for answer in answers if answer.word is Word.SAVED}
        _count(session, saved)
        return answers


def _count(session: Session, saved: set[UUID]) -> None:
    fresh: defaultdict[int, list[Evidence]] = defaultdict(list)
    for attempt_id in saved:
        row = session.get_one(AttemptRow, attempt_id)
        evidence = evidence_of(row)
        if evidence is not None:
            fresh[row.student_id].append(evidence)
    for student, rides in fresh.items():
        take_in(session, student, rides)


def strike_out(db: Database, by: Actor, attempt_id: UUID, reason: str, now: datetime) -> UUID:
    """Strike a ride out, keeping it in sight with the reason, and work the student out again.

    Raises Missing for a ride that is not there or not this person's to change.
    """
    with db.writing(Lock.RIDES) as session:
        student = strike(session, by, attempt_id, reason, now)
        rebuild_one(session, student, parameters(session))
        return attempt_id


def rebuild(db: Database, student_id: int | None = None) -> int:
    """Work out one student again, or all of them, from their rides; how many."""
    with db.writing(Lock.RIDES) as session:
        return rebuild_in(session, student_id)


def rebuild_in(session: Session, student_id: int | None = None) -> int:
    """The same in the caller's transaction."""
    kept = StudentRow.merged_into_id.is_(None)
    everyone = select(StudentRow.id).where(kept).order_by(StudentRow.id)
    students = [student_id] if student_id is not None else session.scalars(everyone).all()
    fixed = parameters(session)
    for student in students:
        rebuild_one(session, student, fixed)
    settle(session, anew=student_id is None)
    return len(students)


def settle_results(db: Database) -> int:
    """Count the real results that have come in since the last time; how many."""
    with db.writing(Lock.RIDES) as session:
        return settle(session)
