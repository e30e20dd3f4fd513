"""One-time links: made, looked at, and used once."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, func, or_, select, update
from sqlalchemy.orm import Session, aliased

from app.rules.accounts.links import ASKED_IS_SHOWN_FOR, LIFETIMES, LinkPurpose
from app.rules.accounts.roles import Actor
from app.store import audit
from app.store.accounts.tables import AccountRow, OneTimeLinkRow


@dataclass(frozen=True, slots=True)
class OpenLink:
    """A link that still works, and whose it is. ``nonce`` is what the signed address holds."""

    link_id: int
    nonce: str
    purpose: LinkPurpose
    expires_at: datetime
    account_id: int
    name: str
    email: str


def make(session: Session, by: Actor, account: AccountRow, now: datetime) -> str:
    """Make a link for an account and return its nonce, ending older ones of the same purpose.

    Someone without a password is invited; anyone else resets theirs.
    """
    purpose = LinkPurpose.RESET if account.password_hash else LinkPurpose.INVITATION
    end(session, account.id, now, purpose)
    link = _row(by, account, purpose, now)
    session.add(link)
    audit.record(session, by, now, "made link", "accounts", account.id, purpose=purpose.value)
    return link.nonce


def note_asking(session: Session, account: AccountRow, now: datetime) -> None:
    """Keep that someone asked for a new password where no email can be sent.

    The link is over and used up as it is made, and nobody holds it; it only
    stands in the desk's list until the desk makes a real one.
    """
    note = _row(None, account, LinkPurpose.RESET, now)
    note.expires_at = note.used_at = now
    session.add(note)


def _row(
    by: Actor | None, account: AccountRow, purpose: LinkPurpose, now: datetime
) -> OneTimeLinkRow:
    return OneTimeLinkRow(
        account_id=account.id,
        purpose=purpose,
        nonce=secrets.token_urlsafe(24),
        made_at=now,
        expires_at=now + LIFETIMES[purpose],
        made_by=by.account_id if by else None,
    )


def end(
    session: Session, account_id: int, now: datetime, purpose: LinkPurpose | None = None
) -> None:
    """End the open links of an account, of one purpose or of both."""
    mine = update(OneTimeLinkRow).where(
        OneTimeLinkRow.account_id == account_id,
        OneTimeLinkRow.used_at.is_(None),
        OneTimeLinkRow.expires_at > now,
    )
    if purpose is not None:
        mine = mine.where(OneTimeLinkRow.purpose == purpose)
    session.execute(mine.values(expires_at=now))


def by_nonce(session: Session, nonce: str, now: datetime) -> OpenLink | None:
    """The link that an address holds; None once it is used, over, replaced or closed."""
    return _open(session, now, OneTimeLinkRow.nonce == nonce)


def to_show(session: Session, account_id: int, now: datetime) -> OpenLink | None:
    """The open link that a colleague made for this account, for showing it or printing it."""
    mine = OneTimeLinkRow.account_id == account_id
    return _open(session, now, mine & OneTimeLinkRow.made_by.is_not(None))


def _open(session: Session, now: datetime, which: ColumnElement[bool]) -> OpenLink | None:
    row = session.execute(
        select(OneTimeLinkRow, AccountRow.name, AccountRow.email)
        .join(AccountRow, AccountRow.id == OneTimeLinkRow.account_id)
        .where(which, OneTimeLinkRow.used_at.is_(None))
        .where(OneTimeLinkRow.expires_at > now, AccountRow.active)
        .order_by(OneTimeLinkRow.id.desc())
        .limit(1)
    ).first()
    if row is None:
        return None
    link, name, email = row
    return OpenLink(
        link.id, link.nonce, link.purpose, link.expires_at, link.account_id, name, email
    )


def use(session: Session, link: OpenLink, now: datetime) -> bool:
    """Use a link up. Of two that try at the same moment, one is told False."""
    used = session.execute(
        update(OneTimeLinkRow)
        .where(OneTimeLinkRow.id == link.link_id, OneTimeLinkRow.used_at.is_(None))
        .where(OneTimeLinkRow.expires_at > now)
        .values(used_at=now)
        .returning(OneTimeLinkRow.id)
    )
    return used.first() is not None


@dataclass(frozen=True, slots=True)
class Asking:
    """Someone who asked for a new password and waits for the desk."""

    account_id: int
    name: str
    asked_at: datetime


def waiting(session: Session, now: datetime) -> tuple[Asking, ...]:
    """Who asked for a new password and has had no link since, the longest waiting first."""
    note, newer = aliased(OneTimeLinkRow), aliased(OneTimeLinkRow)
    is_real = or_(newer.used_at.is_(None), newer.expires_at != newer.made_at)
    answered = select(newer.id).where(
        newer.account_id == note.account_id, newer.id > note.id, is_real
    )
    rows = session.execute(
        select(AccountRow.id, AccountRow.name, func.min(note.made_at).label("asked_at"))
        .join(AccountRow, AccountRow.id == note.account_id)
        .where(note.used_at == note.made_at, note.expires_at == note.made_at)
        .where(note.made_at > now - ASKED_IS_SHOWN_FOR, AccountRow.active, ~answered.exists())
        .group_by(AccountRow.id, AccountRow.name)
        .order_by(func.min(note.made_at), AccountRow.id)
    )
    return tuple(Asking(row.id, row.name, row.asked_at) for row in rows)
