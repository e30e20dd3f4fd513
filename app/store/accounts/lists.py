"""Accounts as the screens show them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.rules.accounts.roles import Role, roles_words
from app.rules.refusal import Missing
from app.store.accounts.hashing import token_hash
from app.store.accounts.tables import AccountRow, SignInRow


@dataclass(frozen=True, slots=True)
class AccountLine:
    """One account in a list. ``last_in`` is when it last signed in, if ever."""

    account_id: int
    name: str
    email: str
    roles: frozenset[Role]
    active: bool
    has_password: bool
    last_in: datetime | None
    version: int

    @property
    def roles_words(self) -> str:
        """What the person does at the school."""
        return roles_words(self.roles)

    @property
    def state_words(self) -> str:
        """Whether the person can sign in."""
        if not self.active:
            return "closed"
        return "can sign in" if self.has_password else "invited"


@dataclass(frozen=True, slots=True)
class SignInLine:
    """One browser in which a person is signed in."""

    sign_in_id: int
    began_at: datetime
    expires_at: datetime
    origin: str
    is_this: bool


@dataclass(frozen=True, slots=True)
class MyAccount:
    """A person's own account."""

    account: AccountLine
    sign_ins: tuple[SignInLine, ...]


def everyone(session: Session) -> tuple[AccountLine, ...]:
    """Every account, by name."""
    rows = session.scalars(select(AccountRow).order_by(func.lower(AccountRow.name), AccountRow.id))
    accounts = rows.all()
    last = _last_in(session)
    return tuple(_line(row, last.get(row.id)) for row in accounts)


def one(session: Session, account_id: int) -> AccountLine:
    """One account; Missing when there is none."""
    row = session.get(AccountRow, account_id)
    if row is None:
        raise Missing
    return _line(row, _last_in(session, account_id).get(account_id))


def mine(session: Session, account_id: int | None, token: str, now: datetime) -> MyAccount:
    """A person's own account, and where they are signed in, the latest first."""
    if account_id is None:
        raise Missing
    rows = session.scalars(
        select(SignInRow)
        .where(SignInRow.account_id == account_id, SignInRow.ended_at.is_(None))
        .where(SignInRow.expires_at > now)
        .order_by(SignInRow.id.desc())
    )
    this = token_hash(token)
    sign_ins = tuple(
        SignInLine(row.id, row.began_at, row.expires_at, row.origin, row.token_hash == this)
        for row in rows
    )
    return MyAccount(one(session, account_id), sign_ins)


def _last_in(session: Session, account_id: int | None = None) -> dict[int, datetime]:
    latest = select(SignInRow.account_id, func.max(SignInRow.began_at)).group_by(
        SignInRow.account_id
    )
    if account_id is not None:
        latest = latest.where(SignInRow.account_id == account_id)
    return {row[0]: row[1] for row in session.execute(latest)}


def _line(row: AccountRow, last_in: datetime | None) -> AccountLine:
    return AccountLine(
        account_id=row.id,
        name=row.name,
        email=row.email,
        roles=frozenset(held.role for held in row.roles),
        active=row.active,
        has_password=row.password_hash is not None,
        last_in=last_in,
        version=row.version,
    )
