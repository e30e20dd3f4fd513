"""Passwords: asked for, set by a one-time link, and changed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.rules.accounts.letters import letter
from app.rules.accounts.links import LinkPurpose
from app.rules.accounts.passwords import faults
from app.rules.accounts.roles import Actor
from app.rules.refusal import Missing, Reason, Refused
from app.store import audit, outbox, settings
from app.store.accounts import links, writes
from app.store.accounts.hashing import fits, hash_password
from app.store.accounts.tables import AccountRow
from app.store.accounts.writes import Browser
from app.store.database import Database

AddressOf = Callable[[LinkPurpose, str], str]
"""Makes the full address of a link from its purpose and nonce."""

_OVER = Reason("This link has been used or has run out. Ask for a new one.", field="password")


def ask(db: Database, origin: str, email: str, now: datetime, address_of: AddressOf | None) -> None:
    """Someone asks for a new password: owe them an email with a link.

    Without ``address_of`` (the school sends no email) the desk sees who asked.
    The caller learns nothing, so that nobody can find out who has an account.
    """
    someone = Actor(None, "someone", frozenset(), origin)
    with db.writing() as session:
        account = session.scalars(
            select(AccountRow).where(AccountRow.email == email.lower())
        ).first()
        known = account is not None and account.active
        audit.record(
            session, someone, now, "asked", "accounts", account.id if account else "", known=known
        )
        if account is None or not known:
            return
        if address_of is None:
            links.note_asking(session, account, now)
        else:
            send_link(session, someone, account, now, address_of)


def send_link(
    session: Session, by: Actor, account: AccountRow, now: datetime, address_of: AddressOf
) -> None:
    """Make a link for an account and owe the email that carries it."""
    nonce = links.make(session, by, account, now)
    post_link(session, account, nonce, now, address_of)


def post_link(
    session: Session, account: AccountRow, nonce: str, now: datetime, address_of: AddressOf
) -> None:
    """Owe the email that carries a link that has been made."""
    purpose = LinkPurpose.RESET if account.password_hash else LinkPurpose.INVITATION
    school = settings.load(session).school_name
    words = letter(purpose, school, account.name, address_of(purpose, nonce))
    outbox.post(session, account.email, words.subject, words.body, now)


def set_by_link(db: Database, browser: Browser, nonce: str, password: str, now: datetime) -> str:
    """Set a password by a one-time link, use the link up, and sign in: the new token.

    Raises Refused for a link that is over and for a password that cannot be used.
    """
    with db.reading() as session:
        link = links.by_nonce(session, nonce, now)
    if link is None:
        raise Refused(_OVER)
    hashed = _judged(password, link.email, link.name)
    with db.writing() as session:
        if not links.use(session, link, now):
            raise Refused(_OVER)
        account = session.get_one(AccountRow, link.account_id, with_for_update=True)
        if not account.active:
            raise Refused(_OVER)
        return _set(session, account, hashed, browser, now)


def change(db: Database, by: Actor, browser: Browser, current: str, new: str, now: datetime) -> str:
    """Change one's own password. Every sign-in ends but this browser's: its new token.

    Raises Refused for a wrong current password and for a new one that cannot be used.
    """
    with db.reading() as session:
        mine = session.get(AccountRow, by.account_id)
    if mine is None:
        raise Missing
    if not fits(mine.password_hash, current):
        raise Refused(Reason("This is not your password. Type the one you have now.", "current"))
    hashed = _judged(new, mine.email, mine.name)
    with db.writing() as session:
        account = session.get_one(AccountRow, mine.id, with_for_update=True)
        if account.password_hash != mine.password_hash or not account.active:
            raise Refused(Reason("Your password was changed a moment ago. Sign in again."))
        return _set(session, account, hashed, browser, now)


def _judged(password: str, email: str, name: str) -> str:
    wrong = faults(password, email=email, name=name)
    if wrong:
        raise Refused(*wrong)
    return hash_password(password)


def _set(
    session: Session, account: AccountRow, hashed: str, browser: Browser, now: datetime
) -> str:
    """Keep a new password; whoever was in by the old one, or could come in by a link, is out."""
    account.password_hash = hashed
    writes.end_all(session, account.id, now)
    links.end(session, account.id, now)
    token = writes.begin(session, account, browser, now)
    audit.record(
        session, writes.as_actor(account, browser), now, "set password", "accounts", account.id
    )
    return token
