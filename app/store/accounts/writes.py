"""Signing in and out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, select, update
from sqlalchemy.orm import Session

from app.rules.accounts.links import SIGN_IN_LIFETIME
from app.rules.accounts.roles import Actor
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit, settings
from app.store.accounts.hashing import fits, hash_password, is_outdated, new_token, token_hash
from app.store.accounts.reads import DEMO_DOMAIN
from app.store.accounts.tables import AccountRow, SignInRow
from app.store.database import Database

_NO_MATCH = Reason(
    "That email and password do not go together. Check both and try again.", field="email"
)


@dataclass(frozen=True, slots=True)
class Browser:
    """The browser that signs in: its network address, and the token it holds already, if any."""

    origin: str
    old_token: str | None = None


def sign_in(db: Database, browser: Browser, email: str, password: str, now: datetime) -> str:
    """Sign a person in and return the browser's new token.

    Raises Refused, in the same words and after the same time, for an unknown
    email, a wrong password, and an account that is closed or has no password yet.
    """
    with db.reading() as session:
        found = session.scalars(select(AccountRow).where(AccountRow.email == email.lower())).first()
    # Hashing takes its time on purpose, so it is done while no transaction is open.
    if not fits(found.password_hash if found else None, password) or found is None:
        raise Refused(_NO_MATCH)
    kept = found.password_hash or ""
    renewed = hash_password(password) if is_outdated(kept) else kept
    with db.writing() as session:
        account = session.get(AccountRow, found.id, with_for_update=True)
        if account is None or not account.active or account.password_hash != kept:
            raise Refused(_NO_MATCH)
        account.password_hash = renewed
        return begin(session, account, browser, now)


def demo_sign_in(db: Database, browser: Browser, account_id: int, now: datetime) -> str:
    """Sign a visitor of a demo in as one of its invented people; Missing anywhere else."""
    with db.writing() as session:
        account = session.get(AccountRow, account_id)
        if account is None or not account.active or not settings.load(session).demo:
            raise Missing
        if not account.email.endswith(f"@{DEMO_DOMAIN}"):
            raise Missing
        return begin(session, account, browser, now)


def begin(session: Session, account: AccountRow, browser: Browser, now: datetime) -> str:
    """Begin a sign-in in the caller's transaction, ending the browser's old one."""
    if browser.old_token is not None:
        _end(session, SignInRow.token_hash == token_hash(browser.old_token), now)
    token = new_token()
    session.add(
        SignInRow(
            account_id=account.id,
            token_hash=token_hash(token),
            began_at=now,
            expires_at=now + SIGN_IN_LIFETIME,
            origin=browser.origin,
        )
    )
    audit.record(session, as_actor(account, browser), now, "signed in", "accounts", account.id)
    return token


def sign_out(db: Database, by: Actor, token: str, now: datetime) -> None:
    """End the sign-in of the browser that holds ``token``."""
    with db.writing() as session:
        _end(session, SignInRow.token_hash == token_hash(token), now)
        audit.record(session, by, now, "signed out", "accounts", by.account_id)


def end_sign_in(db: Database, by: Actor, sign_in_id: int, now: datetime) -> None:
    """End one of one's own sign-ins, on a browser elsewhere; Missing when it is not one's own."""
    with db.writing() as session:
        row = session.get(SignInRow, sign_in_id)
        if row is None or row.account_id != by.account_id:
            raise Missing
        _end(session, SignInRow.id == sign_in_id, now)
        audit.record(session, by, now, "ended", "sign_ins", sign_in_id)


def end_all(session: Session, account_id: int, now: datetime) -> None:
    """End every sign-in of an account, in the caller's transaction."""
    _end(session, SignInRow.account_id == account_id, now)


def _end(session: Session, which: ColumnElement[bool], now: datetime) -> None:
    session.execute(
        update(SignInRow).where(which, SignInRow.ended_at.is_(None)).values(ended_at=now)
    )


def as_actor(account: AccountRow, browser: Browser) -> Actor:
    """The owner of an account, as the one who acts in a browser that is not signed in yet."""
    roles = frozenset(row.role for row in account.roles)
    return Actor(account.id, account.name, roles, browser.origin)
