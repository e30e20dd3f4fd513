"""Two records of one person, side by side."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from app.rules.diary.values import TAKING_STATES
from app.rules.people.students import StudentFacts
from app.rules.refusal import Missing
from app.rules.school.merging import Clash, SignIn, obstacles
from app.rules.words import moment_words
from app.store.accounts.tables import AccountRow
from app.store.diary.tables import BookingRow
from app.store.people.reads import facts_of, student_row
from app.store.people.tables import StudentRow
from app.store.school.holdings import holdings


@dataclass(frozen=True, slots=True)
class Twin:
    """One of the two records, with what it has and the email of its sign-in, if any."""

    id: int
    version: int
    facts: StudentFacts
    added_at: datetime
    holds: tuple[str, ...]
    signs_in_by: str | None
    sign_in: SignIn | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """The record that is kept, the one that goes, and what stands in the way."""

    kept: Twin
    other: Twin
    obstacles: tuple[str, ...]


def comparison(session: Session, kept_id: int, other_id: int, zone: ZoneInfo) -> Comparison:
    """Two records to be made one. Seven queries.

    Raises Missing when one is not there, was merged already, or both are the same.
    """
    if kept_id == other_id:
        raise Missing
    kept, other = _twin(session, kept_id), _twin(session, other_id)
    found = obstacles(clashes(session, kept_id, other_id, zone), kept.sign_in, other.sign_in)
    return Comparison(kept, other, tuple(reason.sentence for reason in found))


def _twin(session: Session, student_id: int) -> Twin:
    row = student_row(session, student_id)
    email, opens = sign_in_of(session, row)
    return Twin(
        id=row.id,
        version=row.version,
        facts=facts_of(row),
        added_at=row.created_at,
        holds=holdings(session, student_id),
        signs_in_by=email,
        sign_in=opens,
    )


def sign_in_of(session: Session, row: StudentRow) -> tuple[str | None, SignIn | None]:
    """The email of the account that opens a record, and what it counts for. One query."""
    columns = (AccountRow.email, AccountRow.active, AccountRow.password_hash.is_not(None))
    found = session.execute(select(*columns).where(AccountRow.id == row.account_id)).first()
    if found is None or row.account_id is None:
        return None, None
    email, active, has_password = found
    return email, SignIn(row.account_id, in_use=active and has_password)


def clashes(session: Session, kept_id: int, other_id: int, zone: ZoneInfo) -> tuple[Clash, ...]:
    """The places of two records that lie at one time. One query."""
    ours, theirs = aliased(BookingRow), aliased(BookingRow)
    found = session.execute(
        select(ours.starts_at, theirs.starts_at.label("other_starts_at"))
        .join(theirs, (ours.starts_at < theirs.ends_at) & (ours.ends_at > theirs.starts_at))
        .where(ours.student_id == kept_id, theirs.student_id == other_id)
        .where(ours.state.in_(TAKING_STATES), theirs.state.in_(TAKING_STATES))
        .order_by(ours.starts_at, theirs.starts_at)
    )
    return tuple(
        Clash(moment_words(row.starts_at, zone), moment_words(row.other_starts_at, zone))
        for row in found
    )
