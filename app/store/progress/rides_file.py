"""Rides that the desk takes in from a file: whose they are, and keeping them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor, Role
from app.rules.riding.handed_in import ItemAnswer
from app.rules.riding.recording import NewRide, Word
from app.rules.riding.rides_file import OnesRides
from app.store import audit
from app.store.accounts.tables import AccountRoleRow, AccountRow
from app.store.database import Database, Lock
from app.store.people.tables import InstructorRow, StudentRow
from app.store.progress.syncing import take_items
from app.store.riding.tables import AttemptRow, VariantRow

_NO_INSTRUCTOR = "The account that recorded this is no instructor's here."
_ORIGIN = "rides file"


@dataclass(frozen=True, slots=True)
class FileLine:
    """One ride of a file as the desk sees it before it is taken in."""

    recorded_by: str
    student: str
    manoeuvre: str
    ridden_at: datetime
    already_had: bool


def lines_of(session: Session, people: Sequence[OnesRides]) -> tuple[FileLine, ...]:
    """What a file holds, in words: four queries."""
    rides = [(ones, item) for ones in people for item in ones.items if isinstance(item, NewRide)]
    names = _recorders(session, {ones.account_id for ones in people})
    students = _names(session, StudentRow, {ride.student_id for _, ride in rides})
    variants = _names(session, VariantRow, {ride.variant_id for _, ride in rides})
    ids = {ride.attempt_id for _, ride in rides}
    had = set(session.scalars(select(AttemptRow.id).where(AttemptRow.id.in_(ids))))
    return tuple(
        FileLine(
            recorded_by=names[ones.account_id].name if ones.account_id in names else ones.name,
            student=students.get(ride.student_id, "not a student here"),
            manoeuvre=variants.get(ride.variant_id, "not a manoeuvre here"),
            ridden_at=ride.ridden_at,
            already_had=ride.attempt_id in had,
        )
        for ones, ride in rides
    )


def _names(
    session: Session, table: type[StudentRow] | type[VariantRow], ids: Collection[int]
) -> dict[int, str]:
    found = session.execute(select(table.id, table.name).where(table.id.in_(ids)))
    return {row.id: row.name for row in found}


def _recorders(session: Session, accounts: Collection[int]) -> dict[int, Actor]:
    """The instructors among these accounts, as those who recorded."""
    found = session.execute(
        select(AccountRow.id, AccountRow.name, InstructorRow.id.label("instructor_id"))
        .join(AccountRoleRow, AccountRoleRow.account_id == AccountRow.id)
        .join(InstructorRow, InstructorRow.account_id == AccountRow.id)
        .where(AccountRow.id.in_(accounts), AccountRoleRow.role == Role.INSTRUCTOR)
    )
    return {
        row.id: Actor(
            row.id, row.name, frozenset({Role.INSTRUCTOR}), _ORIGIN, None, row.instructor_id
        )
        for row in found
    }


def take_file(
    db: Database, desk: Actor, people: Sequence[OnesRides], now: datetime
) -> tuple[ItemAnswer, ...]:
    """Keep the rides of a file in one transaction, each as its instructor's; an answer for each.

    Taking a file in twice changes nothing. The audit notes who took it in.
    """
    with db.writing(Lock.DIARY, Lock.RIDES) as session:
        known = _recorders(session, {ones.account_id for ones in people})
        answers = [answer for ones in people for answer in _take(session, known, desk, ones, now)]
        return tuple(answers)


def _take(
    session: Session, known: dict[int, Actor], desk: Actor, ones: OnesRides, now: datetime
) -> tuple[ItemAnswer, ...]:
    by = known.get(ones.account_id)
    if by is None:
        return tuple(ItemAnswer(None, Word.REFUSED, _NO_INSTRUCTOR) for _ in ones.items)
    answers = take_items(session, by, ones.items, now)
    saved = sum(answer.word is Word.SAVED for answer in answers)
    audit.record(session, desk, now, "took in a rides file", "accounts", by.account_id, saved=saved)
    return answers
