"""A browser that instructors share: their short codes, and who is at it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlalchemy import ColumnElement, delete, func, select, update
from sqlalchemy.orm import Session

from app.rules.accounts.codes import (
    BY_CODE,
    PERSON_WINDOW,
    TABLET_WINDOW,
    check_code,
    code_opens,
    why_no_try,
)
from app.rules.accounts.roles import Actor
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit, settings
from app.store.accounts.hashing import fits, hash_password
from app.store.accounts.tables import (
    AccountRoleRow,
    AccountRow,
    CodeTryRow,
    HandOverCodeRow,
    SignInRow,
    TabletTurnRow,
)
from app.store.database import Database, Lock

_WRONG = Reason("This is not that person's code. Try it again, or use the password.", "tablet_code")
_NOT_TODAY = Reason(
    "The first sign-in of a day is by password. After that, codes work.", "tablet_code"
)


@dataclass(frozen=True, slots=True)
class Colleague:
    """An instructor who has a code."""

    account_id: int
    name: str


def colleagues(session: Session) -> tuple[Colleague, ...]:
    """The instructors who can take a tablet over by code, by name: one query."""
    rows = session.execute(
        select(AccountRow.id, AccountRow.name)
        .join(HandOverCodeRow, HandOverCodeRow.account_id == AccountRow.id)
        .join(AccountRoleRow, AccountRoleRow.account_id == AccountRow.id)
        .where(AccountRow.active, AccountRoleRow.role.in_(BY_CODE))
        .order_by(func.lower(AccountRow.name), AccountRow.id)
    )
    return tuple(Colleague(row.id, row.name) for row in rows)


def code_set_at(session: Session, account_id: int | None) -> datetime | None:
    """When a person chose the code they have; None without one."""
    return session.scalar(
        select(HandOverCodeRow.set_at).where(HandOverCodeRow.account_id == account_id)
    )


def recorders(session: Session, sign_in_id: int) -> frozenset[int]:
    """Everyone who has been at a browser in this sign-in: whose rides it may still be sending."""
    began = select(SignInRow.account_id).where(SignInRow.id == sign_in_id)
    turns = select(TabletTurnRow.account_id).where(TabletTurnRow.sign_in_id == sign_in_id)
    return frozenset(session.scalars(began.union(turns)))


def set_code(db: Database, by: Actor, password: str, code: str, now: datetime) -> int:
    """Choose one's own code, proved by the password; the account's id.

    Wrong codes tried before are forgiven, and a tablet that the old one opened locks.
    """
    check_code(code)
    with db.reading() as session:
        mine = session.get(AccountRow, by.account_id)
    if mine is None:
        raise Missing
    if not fits(mine.password_hash, password):
        raise Refused(Reason("This is not your password. Type the one you have now.", "proof"))
    row = HandOverCodeRow(account_id=mine.id, code_hash=hash_password(code), set_at=now)
    with db.writing(Lock.ACCOUNTS) as session:
        session.merge(row)
        session.execute(delete(CodeTryRow).where(CodeTryRow.account_id == mine.id))
        session.execute(
            update(SignInRow).where(SignInRow.at_tablet_id == mine.id).values(locked_at=now)
        )
        audit.record(session, by, now, "set code", "accounts", mine.id)
        return mine.id


def take_over(
    db: Database, sign_in_id: int, account_id: int, code: str, origin: str, now: datetime
) -> int:
    """Let an instructor be at a browser by their code; their account's id.

    Raises Refused for a wrong code, on a day without a sign-in by password, and
    after too many wrong ones. The try is spent before the code is looked at, so
    that many guesses at once are no more than as many one after the other.
    """
    try_id, code_hash = _spend(db, sign_in_id, account_id, now)
    # Hashing takes its time on purpose, so it is done while no transaction is open.
    if not fits(code_hash, code):
        raise Refused(_WRONG)
    with db.writing(Lock.ACCOUNTS) as session:
        account = session.get_one(AccountRow, account_id)
        here = _open(session, sign_in_id)
        here.at_tablet_id, here.seen_at, here.locked_at = account_id, now, None
        session.add(TabletTurnRow(sign_in_id=sign_in_id, account_id=account_id, began_at=now))
        session.execute(delete(CodeTryRow).where(CodeTryRow.id == try_id))
        by = Actor(account_id, account.name, BY_CODE, origin)
        audit.record(session, by, now, "took over", "sign_ins", sign_in_id)
        return account_id


def _spend(db: Database, sign_in_id: int, account_id: int, now: datetime) -> tuple[int, str | None]:
    with db.writing(Lock.ACCOUNTS) as session:
        here = _open(session, sign_in_id)
        zone = ZoneInfo(settings.load(session).time_zone)
        if not code_opens(here.began_at, now, zone):
            raise Refused(_NOT_TODAY)
        refusal = why_no_try(
            _tries(session, CodeTryRow.sign_in_id == sign_in_id, now - TABLET_WINDOW),
            _tries(session, CodeTryRow.account_id == account_id, now - PERSON_WINDOW),
        )
        if refusal:
            raise Refused(Reason(refusal, "tablet_code"))
        code_hash = _hash_of(session, account_id)
        if code_hash is None:
            raise Refused(Reason("Choose who you are.", "who"))
        spent = CodeTryRow(account_id=account_id, sign_in_id=sign_in_id, at=now)
        session.add(spent)
        session.flush()
        return spent.id, code_hash


def _open(session: Session, sign_in_id: int) -> SignInRow:
    row = session.get(SignInRow, sign_in_id, with_for_update=True)
    if row is None or row.ended_at is not None:
        raise Missing
    return row


def _tries(session: Session, whose: ColumnElement[bool], since: datetime) -> int:
    query = select(func.count()).select_from(CodeTryRow).where(whose, CodeTryRow.at > since)
    return session.scalars(query).one()


def _hash_of(session: Session, account_id: int) -> str | None:
    """The hash of a code that can be used; None for who has none or does not teach (any more)."""
    return session.scalar(
        select(HandOverCodeRow.code_hash)
        .join(AccountRow, HandOverCodeRow.account_id == AccountRow.id)
        .join(AccountRoleRow, AccountRoleRow.account_id == AccountRow.id)
        .where(AccountRow.id == account_id, AccountRow.active, AccountRoleRow.role.in_(BY_CODE))
    )


def lock(db: Database, sign_in_id: int, now: datetime) -> None:
    """Lock a browser until a code or a password opens it."""
    _note(db, sign_in_id, locked_at=now)


def note_seen(db: Database, sign_in_id: int, now: datetime) -> None:
    """Note that a browser is in use."""
    _note(db, sign_in_id, seen_at=now)


def _note(db: Database, sign_in_id: int, **values: datetime) -> None:
    with db.writing() as session:
        session.execute(update(SignInRow).where(SignInRow.id == sign_in_id).values(**values))
