"""Accounts of colleagues: made, changed, closed and opened again, by an owner."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import func, insert, select, update
from sqlalchemy.orm import Session

from app.rules.accounts.authority import keep_an_owner, new_roles
from app.rules.accounts.passwords import faults
from app.rules.accounts.roles import Actor, Role
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit
from app.store.accounts import links, writes
from app.store.accounts.hashing import hash_password
from app.store.accounts.own_records import INSTRUCTORS
from app.store.accounts.passwords import AddressOf, post_link
from app.store.accounts.tables import AccountRoleRow, AccountRow
from app.store.database import Database, Lock
from app.store.once import once

_TAKEN = Reason("Someone signs in with this email already. Use another.", field="email")
_STALE = Reason("Someone changed this since you opened it. Look at it again, then save.", field="")


@dataclass(frozen=True, slots=True)
class Colleague:
    """What an owner types about a colleague."""

    name: str
    email: str
    roles: frozenset[Role]


def create_owner(
    db: Database, by: Actor, name: str, email: str, password: str, now: datetime
) -> int:
    """Make an owner's account with a password; Refused for a taken email or a weak password."""
    wrong = faults(password, email=email, name=name)
    if wrong:
        raise Refused(*wrong)
    hashed = hash_password(password)
    with db.writing(Lock.ACCOUNTS) as session:
        account = _new(session, Colleague(name, email, frozenset({Role.OWNER})), now)
        account.password_hash = hashed
        audit.record(session, by, now, "created", "accounts", account.id, roles=["owner"])
        return account.id


def add(
    db: Database,
    by: Actor,
    key: UUID,
    colleague: Colleague,
    now: datetime,
    address_of: AddressOf | None,
) -> int:
    """Make a colleague's account with an open invitation, mailed where the school sends email.

    Returns the account's id. Raises Refused for a taken email or no role.
    """
    with db.writing(Lock.ACCOUNTS) as session:

        def make() -> int:
            account = _new(session, colleague, now)
            _give(session, account, colleague.roles)
            nonce = links.make(session, by, account, now)
            if address_of is not None:
                post_link(session, account, nonce, now, address_of)
            roles = sorted(colleague.roles)
            audit.record(session, by, now, "created", "accounts", account.id, roles=roles)
            return account.id

        return once(session, key, now, make)


def edit(
    db: Database, by: Actor, account_id: int, version: int, colleague: Colleague, now: datetime
) -> int:
    """Change a colleague's name, email and roles; Refused when that would leave no owner."""
    with db.writing(Lock.ACCOUNTS) as session:
        account = _found(session, account_id)
        if account.version != version:
            raise Refused(_STALE)
        if account.email != colleague.email.lower():
            _refuse_taken(session, colleague.email)
        roles = new_roles((row.role for row in account.roles), colleague.roles)
        if _is_owner(account) and Role.OWNER not in roles:
            keep_an_owner(_other_owners(session, account_id))
        account.name, account.email = colleague.name, colleague.email.lower()
        account.version += 1
        _give(session, account, roles)
        audit.record(session, by, now, "changed", "accounts", account_id, roles=sorted(roles))
        return account_id


def close(db: Database, by: Actor, account_id: int, now: datetime) -> None:
    """Close an account: every sign-in and open link ends. Refused for the last owner."""
    with db.writing(Lock.ACCOUNTS) as session:
        account = _found(session, account_id)
        if _is_owner(account):
            keep_an_owner(_other_owners(session, account_id))
        account.active = False
        writes.end_all(session, account_id, now)
        links.end(session, account_id, now)
        audit.record(session, by, now, "closed", "accounts", account_id)


def reopen(db: Database, by: Actor, account_id: int, now: datetime) -> None:
    """Open a closed account again; its password is the one it had."""
    with db.writing(Lock.ACCOUNTS) as session:
        _found(session, account_id).active = True
        audit.record(session, by, now, "reopened", "accounts", account_id)


def _new(session: Session, colleague: Colleague, now: datetime) -> AccountRow:
    _refuse_taken(session, colleague.email)
    account = AccountRow(
        email=colleague.email.lower(),
        name=colleague.name,
        created_at=now,
        roles=[AccountRoleRow(role=role) for role in new_roles((), colleague.roles)],
    )
    session.add(account)
    session.flush()
    return account


def _refuse_taken(session: Session, email: str) -> None:
    if session.scalar(select(AccountRow.id).where(AccountRow.email == email.lower())) is not None:
        raise Refused(_TAKEN)


def _found(session: Session, account_id: int) -> AccountRow:
    account = session.get(AccountRow, account_id)
    if account is None:
        raise Missing
    return account


def _is_owner(account: AccountRow) -> bool:
    return Role.OWNER in {row.role for row in account.roles}


def _other_owners(session: Session, account_id: int) -> int:
    owners = (
        select(func.count())
        .select_from(AccountRow)
        .join(AccountRoleRow, AccountRoleRow.account_id == AccountRow.id)
        .where(AccountRoleRow.role == Role.OWNER, AccountRow.id != account_id)
        .where(AccountRow.active, AccountRow.password_hash.is_not(None))
    )
    return session.scalar(owners) or 0


def _give(session: Session, account: AccountRow, roles: frozenset[Role]) -> None:
    account.roles = [row for row in account.roles if row.role in roles]
    held = {row.role for row in account.roles}
    account.roles += [AccountRoleRow(role=role) for role in sorted(roles - held)]
    if Role.INSTRUCTOR in roles:
        _open_instructor(session, account)


def _open_instructor(session: Session, account: AccountRow) -> None:
    """Lead the account to its instructor's record: theirs, one of the same name, or a new one."""
    mine = INSTRUCTORS.c.account_id == account.id
    if session.execute(select(INSTRUCTORS.c.id).where(mine)).first():
        return
    unled = (INSTRUCTORS.c.account_id.is_(None)) & (INSTRUCTORS.c.name == account.name)
    record = session.scalar(select(func.min(INSTRUCTORS.c.id)).where(unled))
    if record is None:
        values = {"account_id": account.id, "name": account.name, "active": True, "version": 1}
        session.execute(insert(INSTRUCTORS).values(**values))
    else:
        named = update(INSTRUCTORS).where(INSTRUCTORS.c.id == record)
        session.execute(named.values(account_id=account.id))
