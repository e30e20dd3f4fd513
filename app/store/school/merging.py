"""Two records of one person become one, with all that either had."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import delete, insert, select, update
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Refused
from app.rules.school.merging import Pick, SignIn, chosen, obstacles, sign_in_left
from app.store import audit, settings
from app.store.accounts import links
from app.store.accounts.tables import AccountRow
from app.store.accounts.writes import end_all
from app.store.database import Database, Lock
from app.store.diary.offers import one_request_each
from app.store.diary.tables import TestAppointmentRow
from app.store.people.reads import facts_of, kept_instead, student_row
from app.store.people.tables import StudentRow, UnwantedMessageRow
from app.store.people.writes import change_student
from app.store.people.writing import as_written
from app.store.progress.results import settle
from app.store.progress.states import parameters, rebuild_one
from app.store.progress.tables import GivenChanceRow
from app.store.riding.tables import AttemptRow
from app.store.school.holdings import DERIVED, MOVED, POINTING, Owner, holdings
from app.store.school.twins import clashes, sign_in_of
from app.store.stale import check_version


@dataclass(frozen=True, slots=True)
class Merger:
    """Which record is kept, which goes, the versions that were compared, and what was chosen."""

    kept_id: int
    other_id: int
    kept_version: int
    other_version: int
    picks: Mapping[str, Pick]


def merge(db: Database, by: Actor, wanted: Merger, today: date, now: datetime) -> int:
    """Make two records one; the id of the one that is kept.

    Everything of the other goes over, and the standings are worked out again, in one
    transaction. The other record stays for the audit and leads to the kept one. Done a
    second time it changes nothing. Raises Missing for a record that is not there, and
    Refused for what must be done first or for facts that cannot be so.
    """
    with db.writing(Lock.DIARY, Lock.RIDES, Lock.ACCOUNTS) as session:
        if kept_instead(session, wanted.other_id) == wanted.kept_id:
            return wanted.kept_id
        kept, other = _both(session, wanted)
        _check(session, kept, other)
        facts = _facts(session, kept, other, wanted.picks, today)
        moved = holdings(session, other.id)
        _one_sign_in(session, by, kept, other, now)
        _move(session, kept.id, other.id)
        one_request_each(session, by, kept.id, now)
        _work_out_again(session, kept.id)
        change_student(session, by, kept, facts, now)
        other.merged_into_id, other.merged_at = kept.id, now
        for row in (kept, other):
            row.version += 1
        audit.record(session, by, now, "merged", "students", kept.id, record=other.id, moved=moved)
        audit.record(session, by, now, "merged into", "students", other.id, record=kept.id)
        return kept.id


def _both(session: Session, wanted: Merger) -> tuple[StudentRow, StudentRow]:
    kept, other = (student_row(session, each) for each in (wanted.kept_id, wanted.other_id))
    check_version(kept.version, wanted.kept_version)
    check_version(other.version, wanted.other_version)
    return kept, other


def _check(session: Session, kept: StudentRow, other: StudentRow) -> None:
    zone = ZoneInfo(settings.load(session).time_zone)
    found = clashes(session, kept.id, other.id, zone)
    reasons = tuple(obstacles(found, _sign_in(session, kept), _sign_in(session, other)))
    if reasons:
        raise Refused(*reasons)


def _sign_in(session: Session, row: StudentRow) -> SignIn | None:
    return sign_in_of(session, row)[1]


def _facts(
    session: Session,
    kept: StudentRow,
    other: StudentRow,
    picks: Mapping[str, Pick],
    today: date,
) -> Any:
    wanted = chosen(facts_of(kept), facts_of(other), picks)
    # Whatever is chosen was on file, so it is not judged as if it were typed today.
    return as_written(wanted, settings.load(session).phone_region, today, before=wanted)


def _one_sign_in(
    session: Session, by: Actor, kept: StudentRow, other: StudentRow, now: datetime
) -> None:
    """Let one account open the kept record, and close one that then opens none."""
    ours, theirs = _sign_in(session, kept), _sign_in(session, other)
    left = sign_in_left(ours, theirs)
    kept.account_id = other.account_id = None
    session.flush()
    kept.account_id = left.account_id if left else None
    for one in (ours, theirs):
        if one is not None and one != left:
            _close(session, by, one.account_id, now)


def _close(session: Session, by: Actor, account_id: int, now: datetime) -> None:
    account = session.get_one(AccountRow, account_id)
    if account.active and {row.role for row in account.roles} == {Role.STUDENT}:
        account.active = False
        end_all(session, account_id, now)
        links.end(session, account_id, now)
        audit.record(session, by, now, "closed", "accounts", account_id)


def _move(session: Session, kept_id: int, other_id: int) -> None:
    _join_unwanted(session, kept_id, other_id)
    for owner in DERIVED:
        session.execute(delete(owner.class_).where(owner == other_id))
    for owner in (*(each for each, *_ in MOVED), *POINTING):
        _hand_over(session, owner, kept_id, other_id)
    session.flush()
    session.expire_all()


def _hand_over(session: Session, owner: Owner, kept_id: int, other_id: int) -> None:
    session.execute(
        update(owner.class_)
        .where(owner == other_id)
        .values({owner.key: kept_id})
        .execution_options(synchronize_session=False)
    )


def _join_unwanted(session: Session, kept_id: int, other_id: int) -> None:
    def kinds(student_id: int) -> set[Any]:
        found = select(UnwantedMessageRow.kind).where(UnwantedMessageRow.student_id == student_id)
        return set(session.scalars(found))

    new = kinds(other_id) - kinds(kept_id)
    session.execute(delete(UnwantedMessageRow).where(UnwantedMessageRow.student_id == other_id))
    if new:
        rows = [{"student_id": kept_id, "kind": kind} for kind in sorted(new)]
        session.execute(insert(UnwantedMessageRow), rows)


def _work_out_again(session: Session, kept_id: int) -> None:
    """The standings, and the chances given before real tests, out of all rides together."""
    rode = session.scalars(select(AttemptRow.id).where(AttemptRow.student_id == kept_id)).first()
    if rode is None:
        return
    rebuild_one(session, kept_id, parameters(session))
    tests = select(TestAppointmentRow.id).where(TestAppointmentRow.student_id == kept_id)
    session.execute(delete(GivenChanceRow).where(GivenChanceRow.appointment_id.in_(tests)))
    settle(session)
